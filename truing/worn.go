package truing

import (
	"math"

	"clothwright/phrase"
	"clothwright/piece"
)

// worn compares the finished garment with the body.
func (w *walk) worn() {
	for i := range w.p.Worn {
		x := &w.p.Worn[i]
		level, wanted := piece.OK, phrase.Said{}
		switch ease := x.Ease(); {
		case math.IsNaN(ease):
			level, wanted = piece.Stop, phrase.Of("one of them is not a number")
		case ease < x.Least-wornHair:
			level, wanted = piece.Warn, phrase.Of("at least %s wanted", w.u.Format(x.Least))
			if x.Stop && x.BodyFrom != "estimated" {
				level = piece.Stop
			}
		case x.Most != 0 && ease > x.Most+wornHair:
			level, wanted = piece.Warn, phrase.Of("at most %s wanted", w.u.Format(x.Most))
		}
		if level == piece.OK {
			continue
		}
		garment, body := w.u.Format(x.Garment), w.u.Format(x.Body)
		said := phrase.Of("%s: the garment measures %s, the body %s: %s; %s", x.At, garment, body, w.ease(x.Ease()), wanted)
		if x.BodyFrom == "estimated" {
			said = phrase.Of("%s: the garment measures %s, the body (estimated) %s: %s; %s", x.At, garment, body, w.ease(x.Ease()), wanted)
		}
		if !x.Why.Empty() {
			said = phrase.Of("%s, because %s", said, x.Why)
		}
		w.found = append(w.found, piece.Found(level, "worn:"+x.At, said, x.Pieces...))
	}
}

// wornHair is what arithmetic may lose of an ease, mm.
const wornHair = 1e-6

func (w *walk) ease(mm float64) phrase.Said {
	if mm < 0 {
		return phrase.Of("short of the body by %s", w.small(-mm))
	}
	return phrase.Of("%s ease", w.u.Format(mm))
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
			w.say(piece.Stop, code, phrase.Of("%s: it is said to be set to an edge of %s, but %s measures %s", n.Name, w.u.Fine(n.Edge), phrase.List(n.Refs), w.u.Fine(sum)), n.Refs...)
		case !(n.Length <= n.Edge+ZipLong):
			w.say(piece.Stop, code, phrase.Of("%s: the zip of %s is longer than its edge of %s by %s; choose a shorter one or shorten it", n.Name, w.u.Format(n.Length), w.u.Format(n.Edge), w.small(n.Length-n.Edge)), n.Refs...)
		case n.Edge-n.Length > ZipStep:
			how := n.Note
			if how.Empty() {
				how = phrase.Of("end it below the neckline, or have one made to length")
			}
			w.say(piece.Info, code, phrase.Of("%s: the zip of %s is %s shorter than its edge of %s; %s", n.Name, w.u.Format(n.Length), w.u.Format(n.Edge-n.Length), w.u.Format(n.Edge), how), n.Refs...)
		}
	}
	if zips > 0 {
		return
	}
	for i := range w.p.Pieces {
		for k := range w.p.Pieces[i].Edges {
			if e := &w.p.Pieces[i].Edges[k]; e.Finish == piece.Zip {
				r := refTo(w.p.Pieces[i].Name, e.Name)
				w.say(piece.Stop, "zip:"+string(r), phrase.Of("%s: a zip is set here, but no zip is listed among what is bought", string(r)), r)
			}
		}
	}
}
