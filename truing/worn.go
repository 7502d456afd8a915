package truing

import (
	"fmt"
	"math"

	"clothwright/piece"
)

// worn compares the finished garment with the body.
func (w *walk) worn() {
	for i := range w.p.Worn {
		x := &w.p.Worn[i]
		level, wanted := piece.OK, ""
		switch ease := x.Ease(); {
		case math.IsNaN(ease):
			level, wanted = piece.Stop, "one of them is not a number"
		case ease < x.Least-wornHair:
			level, wanted = piece.Warn, fmt.Sprintf("at least %s wanted", w.u.Format(x.Least))
			if x.Stop && x.BodyFrom != "estimated" {
				level = piece.Stop
			}
		case x.Most != 0 && ease > x.Most+wornHair:
			level, wanted = piece.Warn, fmt.Sprintf("at most %s wanted", w.u.Format(x.Most))
		}
		if level == piece.OK {
			continue
		}
		from := ""
		if x.BodyFrom == "estimated" {
			from = " (estimated)"
		}
		text := fmt.Sprintf("%s: the garment measures %s, the body%s %s: %s; %s", x.At, w.u.Format(x.Garment), from, w.u.Format(x.Body), w.ease(x.Ease()), wanted)
		if x.Why != "" {
			text += ", because " + x.Why
		}
		w.found = append(w.found, piece.Finding{Level: level, Code: "worn:" + x.At, Text: text, Pieces: x.Pieces})
	}
}

// wornHair is what arithmetic may lose of an ease, mm.
const wornHair = 1e-6

func (w *walk) ease(mm float64) string {
	if mm < 0 {
		return "short of the body by " + w.small(-mm)
	}
	return w.u.Format(mm) + " ease"
}

// notions compares zips with the edges they are set to.
func (w *walk) notions() {
	zips := 0
	for i := range w.p.Notions {
		n := &w.p.Notions[i]
		sum, known := 0.0, len(n.Refs) > 0
		for _, r := range n.Refs {
			x := w.at[r]
			if x == nil {
				w.noSuch(n.Name, r)
				known = false
				continue
			}
			sum += x.length
		}
		if n.Kind != "zip" {
			continue
		}
		zips++
		code := "zip:" + n.Name
		switch {
		case known && math.Abs(sum-n.Edge) > lengthTolerance:
			w.say(piece.Stop, code, fmt.Sprintf("%s: it is said to be set to an edge of %s, but %s measures %s", n.Name, w.u.Fine(n.Edge), list(n.Refs), w.u.Fine(sum)), n.Refs...)
		case !(n.Length <= n.Edge+ZipLong):
			w.say(piece.Stop, code, fmt.Sprintf("%s: the zip of %s is longer than its edge of %s by %s; choose a shorter one or shorten it", n.Name, w.u.Format(n.Length), w.u.Format(n.Edge), w.small(n.Length-n.Edge)), n.Refs...)
		case n.Edge-n.Length > ZipStep:
			how := n.Note
			if how == "" {
				how = "end it below the neckline, or have one made to length"
			}
			w.say(piece.Info, code, fmt.Sprintf("%s: the zip of %s is %s shorter than its edge of %s; %s", n.Name, w.u.Format(n.Length), w.u.Format(n.Edge-n.Length), w.u.Format(n.Edge), how), n.Refs...)
		}
	}
	if zips > 0 {
		return
	}
	for i := range w.p.Pieces {
		for k := range w.p.Pieces[i].Edges {
			if e := &w.p.Pieces[i].Edges[k]; e.Finish == piece.Zip {
				r := refTo(w.p.Pieces[i].Name, e.Name)
				w.say(piece.Stop, "zip:"+string(r), string(r)+": a zip is set here, but no zip is listed among what is bought", r)
			}
		}
	}
}
