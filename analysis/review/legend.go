package review

import "html/template"

// sample is one entry of the legend: a small picture and what it means.
type sample struct {
	Picture template.HTML
	Words   string
}

func drawnSample(words string, draw func(d *drawing)) sample {
	d := &drawing{width: 64, height: 34}
	draw(d)
	return sample{d.picture(words), words}
}

// legend explains the shapes of the picture of strings.
func legend() []sample {
	note := func(d *drawing, class string, x, y float64, finger string) {
		d.b.WriteString(`<g class="note ` + class + `">`)
		if class == "lh" {
			d.rect("n", x-6.5, y-6.5, 13, 13, 1.5)
		} else {
			d.circle("n", x, y, 7)
		}
		d.text("finger m", x, y+3.6, finger)
		d.b.WriteString("</g>")
	}
	group := func(d *drawing, class string, points ...point) {
		data := polyline(points)
		d.b.WriteString(`<g class="group ` + class + `">`)
		d.path("g-edge", data)
		d.path("g-fill", data)
		d.path("g-tint", data)
		d.b.WriteString("</g>")
	}
	return []sample{
		drawnSample("round: a note of the right hand; the number is the finger, 1 is the thumb", func(d *drawing) { note(d, "rh", 32, 17, "1") }),
		drawnSample("square: a note of the left hand", func(d *drawing) { note(d, "lh", 32, 17, "3") }),
		drawnSample("one shape: strings that are set under the fingers together, before the first is plucked", func(d *drawing) {
			group(d, "rh", point{14, 24}, point{32, 17}, point{50, 10})
			note(d, "rh", 14, 24, "3")
			note(d, "rh", 32, 17, "2")
			note(d, "rh", 50, 10, "1")
		}),
		drawnSample("arrow: the way to the next group; “under” and “over” are the thumb's crossings, “jump” is a leap", func(d *drawing) {
			note(d, "rh", 12, 24, "1")
			note(d, "rh", 52, 10, "4")
			d.b.WriteString(`<g class="way rh">`)
			d.line("w", 19, 22, 45, 12)
			d.path("w-tip", "M40 10.5L45 12L41.500 16.500")
			d.b.WriteString("</g>")
		}),
		drawnSample("⋮ 6: so many strings between, which are not played here", func(d *drawing) { d.text("tiny m faint", 32, 21, "⋮ 6") }),
		drawnSample("dotted line and small open notes: a glissando", func(d *drawing) {
			note(d, "rh", 10, 26, "1")
			note(d, "rh", 54, 8, "1")
			d.b.WriteString(`<g class="sweep rh">`)
			d.path("sw", "M17 24L47 11")
			d.b.WriteString(`</g><g class="swept rh">`)
			d.circle("n", 32, 17.5, 3.4)
			d.b.WriteString("</g>")
		}),
		drawnSample("heavy arrow and ringed notes: there is no time for this", func(d *drawing) {
			d.b.WriteString(`<g class="way way-over">`)
			d.line("w", 20, 21, 44, 13)
			d.path("w-tip", "M39 11.500L44 13L40.500 17")
			d.b.WriteString("</g>")
			note(d, "rh fault", 12, 24, "1")
			note(d, "rh fault", 52, 10, "2")
		}),
	}
}
