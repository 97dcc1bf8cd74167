// Package hands works out how a hand plays its strokes: which strings are set
// together, with which fingers, how it gets from one placing to the next, and how
// much of the time there is it needs.
//
// Solve gives the cheapest fingering of one hand's strokes and Ceiling the best that
// any fingering can do for speed; both are exact. SolveTwo shares what is written
// between two hands. Resolve takes a solution up again after an edit. The model in
// numbers is in harp.Hand. Where the model leaves a choice, this is how it is read:
//
//   - Times are compared with a tolerance of 1e-9 s, in favour of the hand: a need met
//     to within it has a load of at most 1, a gap within it of a second is a second.
//   - Neighbouring fingers are neighbours among those used anywhere in the placing. If
//     the second finger is not used, thumb and third are a pair.
//   - A single stroke that no fingering takes is alone even where a further string
//     would bring it within reach; but strokes that are too wide together may become a
//     placing by a later stroke between them.
//   - Of a stroke of more than four strings the top four count: for the fingers, the
//     spans, the means, the strings that come back, what both hands strike, and what is
//     borrowed.
//   - A straight placing may hold chords. The crossed orders are four single strings,
//     and so always all four fingers.
//   - The distance of a leap is capped before it is used, in the time and in the cost.
//   - Change costs, string costs and overload of one change are added and then rounded
//     to a millionth, and so are the costs of one placing.
//   - The strings of a placing that comes back to the same place cost nothing only when
//     the change is of that kind; a pivot to the same strings costs a pivot.
//   - The same finger on the same string has two needs: its cycle, and the string's.
//   - Both hands may strike one string at one instant only where two staves have it so.
//     That is one pair of strikes; a later strike of it pairs with the other hand's.
//   - A note written on both staves at one instant is borrowed by neither hand.
//   - Two solutions for two hands that cost the same are told apart by register: the
//     right hand above middle C, the left below.
package hands
