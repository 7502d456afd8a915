// Package fit turns a table of measured people into a body.Population: the means and covariances of the logarithms of
// their measures, by figure.
//
// Logarithms, because bodies vary in proportion: on the ANSUR II sample a Gaussian on logarithms has a higher likelihood
// than one on millimetres (women 33, men 74 log units over 12 measures), and neither squares and products of the
// measures nor a power per measure lower the held-out error of any of the twelve by more than 1 %.
package fit

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"clothwright/body"
)

// Measured is every measure read from the table, in the order of the model. All must be columns of the table.
var Measured = []body.Name{
	"height", "head_girth", "neck_girth", "neck_base_girth", "shoulder_length", "back_width", "chest_girth", "waist_girth",
	"hip_girth", "nape_to_waist", "arm_length", "nape_to_wrist", "upper_arm_girth_flexed", "forearm_girth_flexed",
	"wrist_girth", "hand_girth", "nape_height", "shoulder_point_height", "underarm_height", "waist_height", "hip_height",
	"biacromial_breadth",
}

// related is a measure that the table does not have and that goes with one that it has: Ratio times it, give or take
// Spread (one standard deviation, as a share).
type related struct {
	name, of      body.Name
	ratio, spread float64
}

// relations are common practice and from memory. The width over the curve of the back is some 5 to 10 % more than the straight
// breadth between the same points; the tight muscle of the bent arm some 2 to 8 % more than the hanging arm.
var relations = []related{
	{"shoulder_width", "biacromial_breadth", 1.08, 0.045},
	{"upper_arm_girth", "upper_arm_girth_flexed", 0.96, 0.04},
}

// tapeNoise is added to what the survey found, as a share: a workroom takes these measures less exactly or another way.
// From memory.
var tapeNoise = map[body.Name]float64{
	"underarm_depth": 0.03, // the survey's is upright, the difference of two heights; a tape follows the spine
	"nape_to_wrist":  0.02, // the survey's arm is raised and bent
}

// Person is one row of the table: the measures in mm in the order of Measured.
type Person struct {
	ID     string
	Figure body.Figure
	Age    float64
	MM     []float64
}

// MM1 is one measure of the person in mm, 0 when it is none of Measured.
func (p Person) MM1(n body.Name) float64 {
	for i, m := range Measured {
		if m == n {
			return p.MM[i]
		}
	}
	return 0
}

// Card is the person's tape card with the named measures; underarm_depth is nape height less underarm height, and
// shoulder_width 1.08 times the straight breadth.
func (p Person) Card(names []body.Name) body.Card {
	c := body.Card{Figure: p.Figure, Values: make(map[body.Name]body.Value, len(names))}
	for _, n := range names {
		mm := p.MM1(n)
		switch n {
		case "underarm_depth":
			mm = p.MM1("nape_height") - p.MM1("underarm_height")
		case "shoulder_width":
			mm = math.Round(1.08 * p.MM1("biacromial_breadth"))
		}
		if mm > 0 {
			c.Values[n] = body.Value{MM: mm, From: body.Given}
		}
	}
	return c
}

// Read reads a table with a header row: id, sex (f or m), age in years, and a column in mm for each of Measured. Other columns
// are passed over.
func Read(r io.Reader) ([]Person, error) {
	rows, err := csv.NewReader(r).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("the table of people cannot be read: %w", err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("the table of people has no rows under its header")
	}
	column := map[string]int{}
	for i, h := range rows[0] {
		column[h] = i
	}
	want := []string{"id", "sex", "age"}
	for _, n := range Measured {
		want = append(want, string(n))
	}
	for _, n := range want {
		if _, ok := column[n]; !ok {
			return nil, fmt.Errorf("the table of people has no column %s", n)
		}
	}
	out := make([]Person, 0, len(rows)-1)
	for i, row := range rows[1:] {
		p := Person{ID: row[column["id"]], MM: make([]float64, len(Measured))}
		switch sex := row[column["sex"]]; sex {
		case "f":
			p.Figure = body.Women
		case "m":
			p.Figure = body.Men
		default:
			return nil, fmt.Errorf("line %d: sex is %q, it must be f or m", i+2, sex)
		}
		if p.Age, err = positive(row[column["age"]]); err != nil {
			return nil, fmt.Errorf("line %d: age %w", i+2, err)
		}
		for k, n := range Measured {
			if p.MM[k], err = positive(row[column[string(n)]]); err != nil {
				return nil, fmt.Errorf("line %d: %s %w", i+2, n, err)
			}
		}
		out = append(out, p)
	}
	return out, nil
}

func positive(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("is %q, it must be a number above 0", s)
	}
	return v, nil
}

// Shrink is how far each figure's correlations are drawn toward the correlations common to both figures: 0 not at all, 1
// altogether. Chosen by the likelihood of held-out people.
var Shrink = map[body.Figure]float64{body.Women: 0.25, body.Men: 0.1}

// Of fits the population of the given people. It panics when a figure has fewer than 60 people, too few for 26 measures.
func Of(people []Person, source string) *body.Population {
	names := append([]body.Name{}, Measured...)
	names = append(names, "underarm_depth")
	for _, r := range relations {
		names = append(names, r.name)
	}
	names = append(names, body.AgeAxis)
	figures := []body.Figure{body.Women, body.Men}
	means, covs, counts := map[body.Figure][]float64{}, map[body.Figure][][]float64{}, map[body.Figure]int{}
	for _, f := range figures {
		var rows [][]float64
		for _, p := range people {
			if p.Figure == f {
				rows = append(rows, logs(p))
			}
		}
		if len(rows) < 60 {
			panic("fit: too few people")
		}
		means[f], covs[f] = moments(rows)
		counts[f] = len(rows)
	}
	common := pooled(covs, counts, figures)
	pop := &body.Population{Source: source, Names: names}
	for _, f := range figures {
		mean, cov := extend(means[f], toward(covs[f], common, Shrink[f]))
		pop.Shapes = append(pop.Shapes, body.Shape{Figure: f, People: counts[f], Mean: mean, Cov: triangle(cov)})
	}
	return pop
}

// logs is the row of the model that the table has: the logarithms of Measured, of the underarm depth, and of the age.
func logs(p Person) []float64 {
	row := make([]float64, 0, len(p.MM)+2)
	for _, v := range p.MM {
		row = append(row, math.Log(v))
	}
	row = append(row, math.Log(p.MM1("nape_height")-p.MM1("underarm_height")))
	return append(row, math.Log(p.Age))
}

func moments(rows [][]float64) ([]float64, [][]float64) {
	k, n := len(rows[0]), float64(len(rows))
	mean := make([]float64, k)
	for _, r := range rows {
		for j, v := range r {
			mean[j] += v
		}
	}
	for j := range mean {
		mean[j] /= n
	}
	cov := square(k)
	for _, r := range rows {
		for i := range r {
			for j := 0; j <= i; j++ {
				cov[i][j] += (r[i] - mean[i]) * (r[j] - mean[j]) / (n - 1)
			}
		}
	}
	mirror(cov)
	return mean, cov
}

// pooled is the correlation common to the figures: of everyone's deviations from their own figure's means, each in
// standard deviations of their own figure.
func pooled(covs map[body.Figure][][]float64, counts map[body.Figure]int, figures []body.Figure) [][]float64 {
	k := len(covs[figures[0]])
	out, total := square(k), 0.0
	for _, f := range figures {
		total += float64(counts[f])
	}
	for _, f := range figures {
		for i := range out {
			for j := range out {
				out[i][j] += float64(counts[f]) / total * covs[f][i][j] / math.Sqrt(covs[f][i][i]*covs[f][j][j])
			}
		}
	}
	return out
}

func toward(cov, common [][]float64, share float64) [][]float64 {
	out := square(len(cov))
	for i := range cov {
		for j := range cov {
			out[i][j] = (1-share)*cov[i][j] + share*common[i][j]*math.Sqrt(cov[i][i]*cov[j][j])
		}
	}
	return out
}

// extend puts the related measures before the last axis, the age, and adds the noise of a workroom's tape.
func extend(mean []float64, cov [][]float64) ([]float64, [][]float64) {
	at := map[body.Name]int{}
	for i, n := range Measured {
		at[n] = i
	}
	at["underarm_depth"] = len(Measured)
	last := len(mean) - 1
	from := make([]int, 0, len(mean)+len(relations)) // the axis each new one copies
	for i := 0; i < last; i++ {
		from = append(from, i)
	}
	for _, r := range relations {
		from = append(from, at[r.of])
	}
	from = append(from, last)
	m, s := make([]float64, len(from)), square(len(from))
	for i, a := range from {
		m[i] = mean[a]
		for j, b := range from {
			s[i][j] = cov[a][b]
		}
	}
	for i, r := range relations {
		m[last+i] += math.Log(r.ratio)
		s[last+i][last+i] += r.spread * r.spread
	}
	for n, sd := range tapeNoise { // each its own axis: the order does not matter
		s[at[n]][at[n]] += sd * sd
	}
	return m, s
}

func square(k int) [][]float64 {
	out := make([][]float64, k)
	for i := range out {
		out[i] = make([]float64, k)
	}
	return out
}

func mirror(s [][]float64) {
	for i := range s {
		for j := 0; j < i; j++ {
			s[j][i] = s[i][j]
		}
	}
}

func triangle(s [][]float64) []float64 {
	var out []float64
	for i := range s {
		out = append(out, s[i][:i+1]...)
	}
	return out
}
