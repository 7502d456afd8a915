package pack

import (
	"context"
	"fmt"
	"math"
	"testing"
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

// BenchmarkRound measures one round: the weighing of all overlaps and one move
// of each piece in conflict, on a lay that is 15 % too short.
func BenchmarkRound(b *testing.B) {
	for _, n := range []int{10, 50, 200, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s := newSearch(context.Background(), blobs(n), Options{Seed: 1, Steps: math.MaxInt64})
			w := newWorker(s, 0)
			w.firstLay(func() bool { return false })
			w.target = w.end() * 0.85
			w.shorten(record{w.keep(nil), w.end()})
			for b.Loop() {
				w.weigh()
				w.round()
			}
			b.ReportMetric(float64(w.steps)/float64(b.N), "moves/op")
		})
	}
}
