// Package review makes the page that a harpist sends back to a composer: what
// fits, what does not, why, what would, each with a picture. Everything on it
// comes from one reading, so the page and the findings cannot disagree.
//
// The page is one HTML file that needs no network and no script.
package review

import (
	"context"
	"math"

	"fourfold/analysis"
)

// Input is one score and what was read in it.
type Input struct {
	Name    string // the file's name, for the page's foot
	Text    []byte
	Reading *analysis.Reading
	// Engrave sets an ABC excerpt as notes and gives the SVG; nil where there is
	// no engraver. It may be called from two goroutines at once.
	Engrave func(ctx context.Context, abc string) (svg string, err error)
}

// Options are what the harpist can choose.
type Options struct {
	ByWeight bool       // the heaviest passages first, else in the order of the music
	LeaveOut []LeaveOut // findings that are not shown
	Pictures int        // passages that are drawn, the heaviest first; 0 for DefaultPictures or what the page has room for
	Home     string     // address of the index page; "" where there is none
}

// DefaultPictures keeps the page of a long score at a size that opens quickly.
const DefaultPictures = 16

// Page is a finished page and the figures that an index of many needs.
type Page struct {
	HTML    []byte
	Summary Summary
}

// Make reads nothing anew: it draws and words what the reading holds. The only
// errors are the context's.
func Make(ctx context.Context, in Input, o Options) (Page, error) {
	room := math.MaxInt
	if o.Pictures <= 0 {
		o.Pictures, room = DefaultPictures, mostDrawn
	}
	s := newSheet(in, o)
	s.answer(ctx, in)
	s.fit(room)
	if err := ctx.Err(); err != nil {
		return Page{}, err
	}
	html, err := s.render()
	if over := len(html) - mostBytes; err == nil && over > 0 && room == mostDrawn {
		s.fit(max(s.drawn()-over, leastDrawn))
		html, err = s.renderWithin(mostBytes)
	}
	return Page{HTML: html, Summary: s.Summary}, err
}
