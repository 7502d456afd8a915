package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"clothwright/lay"
	"clothwright/phrase"
	"clothwright/piece"
)

// KeptLay is how one cloth of a job is laid, where that was settled: [[lay]] in a job file. It counts as long as Of is the sign of
// the pieces and the cloth ([Result.LaySign]); when they have changed since, the cloth is laid anew and the findings say so.
type KeptLay struct {
	Material string      `toml:"material"`
	Width    float64     `toml:"width"` // selvedge to selvedge, mm
	Fold     string      `toml:"fold"`
	Nap      bool        `toml:"nap,omitempty"`
	Of       string      `toml:"of,omitempty"`      // empty: only how the cloth lies was settled
	Seed     int64       `toml:"seed,omitempty"`    // of the search that found it,
	Steps    int64       `toml:"steps,omitempty"`   // and its budget; 0 for a lay by hand
	Lies     string      `toml:"lies,omitempty"`    // of a lay by hand: how the cloth is folded, when that was found
	Doubled  float64     `toml:"doubled,omitempty"` // and how far, mm
	Apart    []KeptApart `toml:"apart,omitempty"`   // and what is cut apart
	Places   []KeptPlace `toml:"place,omitempty"`
}

// KeptApart is a piece that is cut apart on cloth with one part single; see lay.Parted.
type KeptApart struct {
	Piece string `toml:"piece"`
	Cuts  int    `toml:"cuts"`
}

// KeptPlace is where one shape lies; see lay.Held.
type KeptPlace struct {
	Piece   string  `toml:"piece"`
	Copy    int     `toml:"copy"`
	Part    int     `toml:"part,omitempty"`
	Turn    float64 `toml:"turn"` // degrees
	Flipped bool    `toml:"flipped,omitempty"`
	X       float64 `toml:"x"` // mm
	Y       float64 `toml:"y"`
}

// WithLays is a job file with the lays that were settled at its end, in place of those it had.
func WithLays(src []byte, lays []KeptLay) ([]byte, error) {
	src = bytes.TrimRight(src[:len(src)-len(LaysIn(src))], "\n")
	if len(lays) == 0 {
		return append(src, '\n'), nil
	}
	text, err := toml.Marshal(struct {
		Lay []KeptLay `toml:"lay"`
	}{lays})
	return append(append(src, "\n\n"...), text...), err
}

// LaysIn is the end of a job file from its first [[lay]] on.
func LaysIn(src []byte) []byte {
	at := 0
	for line := range bytes.Lines(src) {
		if bytes.HasPrefix(bytes.TrimSpace(line), []byte("[[lay]]")) {
			return src[at:]
		}
		at += len(line)
	}
	return nil
}

// lays looks over the lays of a job file. Whether pieces and places are those of the job is seen when they are laid.
func (r *reader) lays(kept []KeptLay) []KeptLay {
	seen := map[string]bool{}
	for i, k := range kept {
		at := func(key string) int { return r.LineIn("lay", i, key) }
		if k.Material == "" || seen[k.Material] {
			r.Say(at("material"), "lay %d: material is %q; each material once is allowed", i+1, k.Material)
		}
		seen[k.Material] = true
		if !(k.Width >= 300 && k.Width <= 4000) {
			r.Say(at("width"), "lay %d: width is %g mm; 300 to 4000 is allowed", i+1, k.Width)
		}
		for _, x := range []struct{ key, fold string }{{"fold", k.Fold}, {"lies", k.Lies}} {
			if x.key == "lies" && x.fold == "" {
				continue
			}
			if !slices.Contains(lay.Folds, lay.Fold(x.fold)) {
				r.Say(at(x.key), "lay %d: %s is %q; lengthwise, part-single, open, crosswise and tubular are allowed", i+1, x.key, x.fold)
			}
		}
		if k.Steps < 0 || k.Steps > mostKeptSteps || k.Seed < 0 {
			r.Say(at("steps"), "lay %d: %d steps from seed %d are asked for; 0 to %d from 0 on are allowed", i+1, k.Steps, k.Seed, mostKeptSteps)
		}
		if !(k.Doubled >= 0 && k.Doubled <= 4000) {
			r.Say(at("doubled"), "lay %d: doubled is %g mm; 0 to 4000 is allowed", i+1, k.Doubled)
		}
		for _, p := range k.Places {
			if !(math.Abs(p.X) <= 1e6 && math.Abs(p.Y) <= 1e6 && math.Abs(p.Turn) <= 1e6) {
				r.Say(at("place"), "lay %d: the place of %q is at %g, %g turned by %g; numbers within a million are allowed", i+1, p.Piece, p.X, p.Y, p.Turn)
			}
		}
	}
	return kept
}

// mostKeptSteps bounds the search that a job file may ask for.
const mostKeptSteps = 200_000

// LaySign changes when the outlines of a cloth's pieces, how often they are cut, or the cloth but its price do; nothing else in a job moves a lay.
func (r *Result) LaySign(cloth lay.Cloth) string {
	h := sha256.New()
	cloth.Price = ""
	fmt.Fprintf(h, "%+v\n", cloth)
	for i := range r.Pattern.Pieces {
		p := &r.Pattern.Pieces[i]
		if p.Material != cloth.Material {
			continue
		}
		fmt.Fprintf(h, "%s %d %v %v %.3f\n", p.Name, p.Count, p.Pair, p.OnFold, p.Grain)
		for _, s := range p.CutLine() {
			for _, q := range s.Controls() {
				var b [16]byte
				binary.LittleEndian.PutUint64(b[:8], uint64(int64(math.Round(q.X*1000))))
				binary.LittleEndian.PutUint64(b[8:], uint64(int64(math.Round(q.Y*1000))))
				h.Write(b[:])
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:9])
}

// settled puts how a cloth was settled to be laid, in the job file, into what is asked for. note is what is to be said of it.
func (r *Result) settled(a ask) (out ask, note []piece.Finding) {
	for i := range r.Job.Lays {
		k := &r.Job.Lays[i]
		if a.band || k.Material != string(a.cloth.Material) {
			continue
		}
		a.cloth.Width, a.cloth.Fold, a.cloth.Nap = k.Width, lay.Fold(k.Fold), k.Nap
		switch {
		case k.Of == "":
		case k.Of != r.LaySign(a.cloth):
			note = append(note, piece.Found(piece.Info, "lay:other",
				phrase.Of("%s: the lay that was kept is of other pieces or other cloth, so it is laid anew.", sentenceOf(a.cloth.Name))))
		default:
			a.kept = k
		}
	}
	return a, note
}

// lie lays a cloth as it was settled.
func (k *KeptLay) lie(works []lay.Work, c lay.Cloth) (lay.Cloth, []lay.Held) {
	if k.Lies != "" {
		c.Fold, c.Doubled = lay.Fold(k.Lies), k.Doubled
		if c.Fold == lay.PartSingle {
			c.Parted = []lay.Parted{}
			for _, p := range k.Apart {
				c.Parted = append(c.Parted, lay.Parted{Job: works[0].Job, Piece: p.Piece, Cuts: p.Cuts})
			}
		}
	}
	var held []lay.Held
	for _, p := range k.Places {
		held = append(held, lay.Held{Key: lay.Key{Job: works[0].Job, Piece: p.Piece, Copy: p.Copy, Part: p.Part}, Turn: p.Turn, Flipped: p.Flipped, X: p.X, Y: p.Y})
	}
	return c, held
}
