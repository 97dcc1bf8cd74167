package review

import (
	"fmt"
	"html/template"
)

// tempoRuler shows a tempo asked beside the two that a finding names: up to the
// first it is easy, up to the second it holds, beyond it nobody plays it.
func tempoRuler(asked, comfort, holds tempo) template.HTML {
	const left, width = 4.0, 330.0
	d := &drawing{width: left + width + 60, height: 50}
	end := 1.06 * max(asked.Quarters, holds.Quarters)
	x := func(t tempo) float64 { return left + width*t.Quarters/end }
	d.rect("tr-over", x(holds), 20, left+width-x(holds), 10, 0)
	d.rect("tr-most", x(comfort), 20, x(holds)-x(comfort), 10, 0)
	d.rect("tr-easy", left, 20, x(comfort)-left, 10, 0)
	at := x(asked)
	d.path("tr-asked", polyline([]point{{at - 5, 10}, {at + 5, 10}, {at, 19}})+"Z")
	if at < 110 {
		d.text("label s", at+8, 14, "asked "+asked.Words)
	} else {
		d.text("label e", at-8, 14, "asked "+asked.Words)
	}
	easy, most := "comfortable to "+comfort.Words, "holds to "+holds.Words
	easyEnd := max(x(comfort), left+textWidth(easy, 10.5))
	d.text("tiny e", easyEnd, 43, easy)
	d.text("label e", max(x(holds), easyEnd+10+textWidth(most, 12)), 43, most)
	return d.picture(fmt.Sprintf("Tempo: asked %s; comfortable up to %s; holds up to %s.", asked.Words, comfort.Words, holds.Words))
}
