package bitmap

import (
	"math"
	"slices"

	"clothwright/curve"
)

const (
	fine  = 256          // steps to a dot, both ways, that corners are put on
	lines = 16           // lines to a dot on which coverage is counted
	whole = lines * fine // a dot that is covered all over
	far   = 1 << 20      // dots from the page's corner beyond which a place is put on the edge of all places
)

// filler counts how much of each dot of w by h polygons cover.
type filler struct {
	w, h  int
	meets []uint64 // where edges cross the lines: line, place along it, way
	row   []uint32
}

// cover calls inked for each dot that the polygons cover by the non-zero rule, from the top left, with the covered part of whole.
func (f *filler) cover(polygons [][]curve.Point, inked func(x, y int, part uint32)) {
	f.meets = f.meets[:0]
	for _, p := range polygons {
		for i := range p {
			f.edge(p[i], p[(i+1)%len(p)])
		}
	}
	slices.Sort(f.meets)
	if f.row == nil {
		f.row = make([]uint32, f.w)
	}
	for i := 0; i < len(f.meets); {
		y := int(f.meets[i]>>lineAt) / lines
		low, high := f.w, 0
		for i < len(f.meets) && int(f.meets[i]>>lineAt)/lines == y {
			i = f.line(i, &low, &high)
		}
		for x := low; x < high; x++ {
			if part := f.row[x]; part > 0 {
				inked(x, y, min(part, whole))
				f.row[x] = 0
			}
		}
	}
}

// A crossing is packed into one number, so that they sort fast: the line, then the place along it, then the way.
const (
	lineAt  = 32
	placeAt = 1
)

func place(at float64) int64 {
	return int64(math.Round(math.Max(-far, math.Min(far, at)) * fine))
}

// edge notes where an edge crosses the lines, which lie in the middle of their sixteenth of a dot.
func (f *filler) edge(a, b curve.Point) {
	x0, y0, x1, y1, way := place(a.X), place(a.Y), place(b.X), place(b.Y), uint64(1)
	if y0 == y1 {
		return
	}
	if y0 > y1 {
		x0, y0, x1, y1, way = x1, y1, x0, y0, 0
	}
	const apart = fine / lines
	first := max(0, ceil(y0-apart/2, apart))
	last := min(int64(f.h*lines), ceil(y1-apart/2, apart)) // not counted
	for n := first; n < last; n++ {
		x := x0 + (x1-x0)*(n*apart+apart/2-y0)/(y1-y0)
		x = max(0, min(x, int64(f.w*fine)))
		f.meets = append(f.meets, uint64(n)<<lineAt|uint64(x)<<placeAt|way)
	}
}

// ceil is n/d, rounded up; d is more than 0.
func ceil(n, d int64) int64 {
	q := n / d
	if n%d > 0 {
		q++
	}
	return q
}

// line adds up one line's covered stretches, from crossing i on, and returns the first crossing of the next.
func (f *filler) line(i int, low, high *int) int {
	this := f.meets[i] >> lineAt
	turns, from := 0, 0
	for ; i < len(f.meets) && f.meets[i]>>lineAt == this; i++ {
		x := int(f.meets[i] & (1<<lineAt - 1) >> placeAt)
		was := turns
		turns += 2*int(f.meets[i]&1) - 1
		switch {
		case was == 0:
			from = x
		case turns == 0 && x > from:
			f.stretch(from, x)
			*low, *high = min(*low, from/fine), max(*high, (x+fine-1)/fine)
		}
	}
	return i
}

// stretch covers one line from one place to another.
func (f *filler) stretch(from, to int) {
	a, b := from/fine, to/fine
	if a == b {
		f.row[a] += uint32(to - from)
		return
	}
	f.row[a] += uint32((a+1)*fine - from)
	for x := a + 1; x < b; x++ {
		f.row[x] += fine
	}
	if rest := to - b*fine; rest > 0 {
		f.row[b] += uint32(rest)
	}
}
