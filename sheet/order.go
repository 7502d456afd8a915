package sheet

import (
	"fmt"

	"clothwright/piece"
	"clothwright/sheet/drawing"
)

// Order is the making-up order: each operation with its stitch by ISO 4915 number and its caution beside it, then the cautions
// that hold throughout. It fails with a sentence when the job has no piece or no known paper.
func Order(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	b := newBook(j, "making up")
	b.order()
	return b.finish(), nil
}

// stitches says what the ISO 4915 numbers on the sheet mean. From memory; the classes 100 to 600 are the standard's.
var stitches = []struct{ number, what string }{
	{"301", "lockstitch"},
	{"401", "two-thread chain stitch"},
	{"406", "cover stitch, two needles"},
	{"504", "three-thread overedge"},
	{"514", "four-thread overedge"},
}

// cautions hold throughout the work; each defers to the rules of the place.
var cautions = []string{
	"Shears and rotary blades: cut away from the hand, close or cover them when they lie down, keep them out of reach of children.",
	"Iron and steam when pressing and fusing: try heat and time on an offcut, follow the sheet of whoever made the fusible.",
	"Machine needles: stop the machine before reaching under the foot; change a bent needle at once.",
	"Zips, poppers and other small parts come off in small mouths: on clothes for infants test them with a pull.",
	"Cords at the neck or hem of children's clothes are restricted in many places (EN 14682, ASTM F1816): leave them off unless local rules allow them.",
	"A bright lining or trim does not make certified high-visibility clothing (EN ISO 20471).",
	"Prices and taxes on any sheet of this job are the workroom's own figures.",
	"Where local rules say more than this page, they go first.",
}

func (b *book) order() {
	j := b.j
	f := b.flow("Making up")
	findings(f, j, piece.Stop)
	numbered := drawing.Type{Size: 4, Bold: true}
	words, care := drawing.Type{Size: 3.8, Leading: 1.32}, drawing.Type{Size: 3.3, Color: drawing.Dark, Leading: 1.3}
	const in, stitchW, careW = 9., 22., 62.
	used := map[string]bool{}
	y := f.Room(7)
	f.Page().Text(f.X()+in, y+4, "Do", drawing.Strong)
	f.Page().Text(f.X()+f.W()-careW-stitchW, y+4, "Stitch", drawing.Strong)
	f.Page().Text(f.X()+f.W()-careW, y+4, "Take care", drawing.Strong)
	f.Page().Line(f.X(), y+6, f.X()+f.W(), y+6, drawing.Thin)
	for i, o := range j.Pattern.Order {
		used[o.Stitch] = true
		w := f.W() - in - careW - stitchW - 3
		do := lay([]span{{full(o.Do), false}}, w, words)
		warn := lay([]span{{full(o.Care), false}}, careW, care)
		h := max(do.height(), warn.height()) + 4
		y := f.Room(h)
		l := &f.Page().Layer
		l.Text(f.X()+in-3, y+5.2, fmt.Sprint(i+1), numbered.At(drawing.End))
		do.draw(l, f.X()+in, y+1.6)
		l.Text(f.X()+f.W()-careW-stitchW, y+5.2, o.Stitch, words)
		if o.Care != "" {
			warn.draw(l, f.X()+f.W()-careW, y+1.8)
			l.Line(f.X()+f.W()-careW-2.2, y+1.8, f.X()+f.W()-careW-2.2, y+1.8+warn.height(), drawing.Medium.In(drawing.Accent))
		}
		l.Line(f.X(), y+h, f.X()+f.W(), y+h, drawing.Hair.In(drawing.Light))
	}
	f.Space(4)
	key := ""
	for _, s := range stitches {
		if used[s.number] {
			key += fmt.Sprintf("%s %s; ", s.number, s.what)
		}
	}
	if key != "" {
		f.Paragraph("Stitches by ISO 4915: "+key[:len(key)-2]+". Another stitch that holds and stretches as well will do.", drawing.Type{Size: 3.3, Color: drawing.Dark})
		f.Space(4)
	}
	f.Heading("Throughout", drawing.Heading, 20)
	f.Space(1)
	for _, c := range cautions {
		item(f, "–", c, drawing.Type{Size: 3.5})
	}
}
