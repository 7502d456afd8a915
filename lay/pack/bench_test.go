package pack

import (
	"context"
	"fmt"
	"math"
	"testing"

	"clothwright/internal/spent"
)

// blobs makes n pieces of many sizes, hollow ones among them.
func blobs(n int) Problem {
	d := dice{7}
	p := Problem{Name: "blobs", Width: 100}
	for i := range 10 {
		corners := 5 + d.upTo(8)
		var pts []Point
		for k := range corners {
			h := heading(360 * float64(k) / float64(corners))
			r := 4 + 8*d.unit()
			pts = append(pts, Point{math.Round(100*r*h.X) / 100, math.Round(100*r*h.Y) / 100})
		}
		q := n / 10
		if i < n%10 {
			q++
		}
		p.Pieces = append(p.Pieces, Piece{ID: fmt.Sprint("blob", i), Quantity: q, Turns: []float64{0, 180}, Outline: pts})
	}
	return p
}

// BenchmarkGrowth measures how the parts of a search grow with the number of pieces, ten outlines of 5 to 12 corners among them:
//
//   - shelves: from the problem to the first full lay, by boxes;
//   - first: the lay from corner to corner, with the no-fit regions it asks for;
//   - pass: one round of the search, in which all overlaps are weighed and each piece in conflict is moved once, on a lay 15 % too short.
//
// What is reported as processor-ns/op does not depend on what else the machine does.
func BenchmarkGrowth(b *testing.B) {
	never := func() bool { return false }
	for _, n := range []int{10, 50, 200, 1000} {
		p := blobs(n)
		all := make([]int, n)
		for k := range all {
			all[k] = k
		}
		fresh := func() *worker {
			s := newSearch(context.Background(), p, Options{Seed: 1, Steps: math.MaxInt64})
			return newWorker(s, 0)
		}
		measured := func(name string, f func(b *testing.B)) {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				b.ReportAllocs()
				f(b)
			})
		}
		timed := func(b *testing.B, f func()) {
			from := spent.Processor()
			for b.Loop() {
				f()
			}
			b.ReportMetric(float64(spent.Processor()-from)/float64(b.N), "processor-ns/op")
		}
		measured("shelves", func(b *testing.B) { timed(b, func() { fresh().shelves(all) }) })
		measured("first", func(b *testing.B) { timed(b, func() { fresh().firstLay(never) }) })
		measured("pass", func(b *testing.B) {
			w := fresh()
			w.firstLay(never)
			w.target = w.end() * 0.85
			w.shorten(record{w.keep(nil), w.end()})
			short := w.keep(nil)
			w.weigh()
			w.round() // the regions that it asks for are there afterwards
			moves := w.steps
			timed(b, func() {
				w.restore(short)
				w.evenWeights()
				w.weigh()
				w.round()
			})
			b.ReportMetric(float64(w.steps-moves)/float64(b.N), "moves/op")
		})
	}
}
