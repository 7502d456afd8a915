// Command fit drafts the jacket on every measured person of a table, in each ease, and writes what came of it: who
// could be drafted, which rule had to be corrected for how many and by how much, what ease the jackets have, and how
// their depths and widths compare with the bodies' own.
//
//	go run ./internal/fit -data ../shared/data/bodies.csv
package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"sort"
	"strings"

	"clothwright/draft"
	"clothwright/garments"
	"clothwright/internal/marked"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/tape"
)

func main() {
	data := flag.String("data", "../shared/data/bodies.csv", "table of measured people, millimetres")
	docs := flag.String("docs", "docs/fit.md", "page to write into, between its marks")
	flag.Parse()
	if err := run(*data, *docs); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func run(data, docs string) error {
	table, err := os.ReadFile(data)
	if err != nil {
		return err
	}
	sex, err := column(table, "sex")
	if err != nil {
		return err
	}
	place, err := marked.Find(docs, "drafted bodies", "internal/fit")
	if err != nil {
		return err
	}
	src, _ := garments.Script("rib-zip-jacket")
	g, err := draft.Load("rib-zip-jacket", "garments/rib-zip-jacket/draft.star", src)
	if err != nil {
		return err
	}
	var out strings.Builder
	for _, ease := range []string{"trim", "regular", "roomy"} {
		style, errs := g.Style(map[string]any{"ease": ease}, 0)
		if len(errs) > 0 {
			return errs[0]
		}
		s := survey{sex: sex, adjusted: map[string][]float64{}, ease: map[string][]float64{}, codes: map[string]int{}, least: map[string]float64{}}
		b := job.Batch{File: data, Garment: g, Style: style, House: draft.Standard(), Unit: tape.MM, Workers: runtime.GOMAXPROCS(0),
			Line: func([]byte) error { return nil }, Each: s.add}
		tally, err := b.Run(context.Background(), bytes.NewReader(table))
		if err != nil {
			return err
		}
		s.write(&out, ease, tally)
	}
	return place.Write(out.String())
}

// column reads one column of the table by id.
func column(table []byte, name string) (map[string]string, error) {
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil, fmt.Errorf("the table cannot be read: %v", err)
	}
	at := -1
	for i, h := range rows[0] {
		if h == name {
			at = i
		}
	}
	out := map[string]string{}
	for _, r := range rows[1:] {
		if at >= 0 {
			out[r[0]] = r[at]
		}
	}
	return out, nil
}

// survey gathers what the drafted jackets have.
type survey struct {
	sex      map[string]string
	adjusted map[string][]float64 // mm by code
	ease     map[string][]float64 // mm by place
	least    map[string]float64   // the smallest margin over the least wanted, by place
	codes    map[string]int       // findings that are not notes
	against  [2][3][]float64      // women, men: armhole below the underarm, back beyond the body's, sleeve beyond the arm
	rule     [2][]float64         // the rule's armhole below the underarm, uncorrected
}

func (s *survey) add(id string, r *job.Result) error {
	for _, a := range r.Pattern.Adjusted {
		s.adjusted[a.What] = append(s.adjusted[a.What], a.By)
	}
	for _, w := range r.Pattern.Worn {
		s.ease[w.At] = append(s.ease[w.At], w.Ease())
		margin := w.Ease() - w.Least
		if old, ok := s.least[w.At]; !ok || margin < old {
			s.least[w.At] = margin
		}
	}
	for _, f := range r.Findings {
		if f.Level != piece.Info {
			code := f.Code
			if strings.HasPrefix(code, "doubt:") {
				code = "doubt"
			}
			s.codes[string(f.Level)+" "+code]++
		}
	}
	k := 0
	if s.sex[id] == "m" {
		k = 1
	}
	front, back, sleeve := r.Pattern.Piece("front"), r.Pattern.Piece("back"), r.Pattern.Piece("sleeve")
	nape, line := back.Mark("nape").At.Y, back.Mark("armhole line").At.Y
	under := r.Card.MM("underarm_depth")
	s.against[k][0] = append(s.against[k][0], line-nape-under)
	s.against[k][1] = append(s.against[k][1], 2*back.Mark("armhole hollow").At.X-r.Card.MM("back_width"))
	s.against[k][2] = append(s.against[k][2], sleeve.Mark("sleeve hem").At.Y+front.Mark("shoulder plumb").At.X-r.Card.MM("arm_length")-r.Card.MM("shoulder_width")/2)
	s.rule[k] = append(s.rule[k], r.Card.MM("chest_girth")/6+38.1-nape-under)
	return nil
}

func (s *survey) write(b *strings.Builder, ease string, t job.Tally) {
	fmt.Fprintf(b, "\n## %s: %d people, %d could not be drafted, %d stop\n\n", ease, t.Rows, t.Failed, t.Levels[piece.Stop])
	fmt.Fprintf(b, "Gravest finding: %d warn, %d note, %d none.", t.Levels[piece.Warn], t.Levels[piece.Info], t.Levels[piece.OK])
	for _, k := range keys(s.codes) {
		fmt.Fprintf(b, " %s: %d.", k, s.codes[k])
	}
	b.WriteString("\n\n| adjustment | people | in 100 | median mm | largest mm |\n|---|---:|---:|---:|---:|\n")
	for _, k := range keys(s.adjusted) {
		v := s.adjusted[k]
		fmt.Fprintf(b, "| %s | %d | %.1f | %.0f | %.0f |\n", strings.ReplaceAll(k, "_", " "), len(v), 100*float64(len(v))/float64(t.Rows), quantile(v, 0.5), quantile(v, 1))
	}
	b.WriteString("\nEase, jacket beyond body, in mm; the histogram runs from the smallest to the largest in sixteen steps.\n\n| worn at | smallest | 5th of 100 | median | 95th | largest | least beyond what is wanted | |\n|---|---:|---:|---:|---:|---:|---:|---|\n")
	for _, k := range keys(s.ease) {
		v := s.ease[k]
		fmt.Fprintf(b, "| %s | %.0f | %.0f | %.0f | %.0f | %.0f | %.1f | `%s` |\n", k, quantile(v, 0), quantile(v, 0.05), quantile(v, 0.5), quantile(v, 0.95), quantile(v, 1), s.least[k], histogram(v))
	}
	b.WriteString("\nAgainst the bodies' own heights and widths, in mm (1st, 50th, 99th of 100):\n\n| | women | men |\n|---|---|---|\n")
	for i, what := range []string{"armhole line below the underarm, as drafted", "back, hollow to hollow, beyond the back width", "neck to wrist over the shoulder beyond half the shoulder and the arm"} {
		fmt.Fprintf(b, "| %s | %s | %s |\n", what, three(s.against[0][i]), three(s.against[1][i]))
	}
	fmt.Fprintf(b, "| armhole line below the underarm by the rule alone, uncorrected | %s | %s |\n", three(s.rule[0]), three(s.rule[1]))
}

func three(v []float64) string {
	return fmt.Sprintf("%.0f, %.0f, %.0f", quantile(v, 0.01), quantile(v, 0.5), quantile(v, 0.99))
}

func keys[V any](m map[string]V) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// quantile is the value below which a share of the values lie.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	w := append([]float64(nil), v...)
	sort.Float64s(w)
	return w[int(math.Round(q*float64(len(w)-1)))]
}

// histogram is sixteen bars from the smallest value to the largest.
func histogram(v []float64) string {
	lo, hi := quantile(v, 0), quantile(v, 1)
	var n [16]int
	most := 0
	for _, x := range v {
		i := 0
		if hi > lo {
			i = min(15, int(16*(x-lo)/(hi-lo)))
		}
		n[i]++
		most = max(most, n[i])
	}
	bars := []rune(" ▁▂▃▄▅▆▇█")
	var out strings.Builder
	for _, k := range n {
		i := int(math.Ceil(8 * float64(k) / float64(most)))
		out.WriteRune(bars[i])
	}
	return out.String()
}
