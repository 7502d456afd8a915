package body

import (
	"fmt"
	"strings"
)

// Table is a published table of sizes. Its figures are of the body, not of a garment.
type Table struct {
	Name     string // how a job names it
	Figure   Figure
	Source   string // where it is published and how it came here
	Measures []Name // the columns
	Rows     []SizeRow
}

// SizeRow is one size.
type SizeRow struct {
	Size string
	MM   []float64 // by column; 0 where the table has nothing
	// Least and Most bound the chest or bust girth that the size is for, in mm, Most not included; both 0 in a table
	// that gives single figures.
	Least, Most float64
}

// Tables are the tables of sizes there are.
var Tables = []Table{
	inches("astm-d5585-women", Women,
		"ASTM D5585-11e1, adult female, sizes 00 to 20, curvy figure: the rows read in an excerpt, which has no hip, arm or length",
		[]Name{"neck_base_girth", "neck_girth", "chest_girth", "waist_girth"}, d5585, d5585Bust("curvy")),
	inches("astm-d5585-women-straight", Women,
		"ASTM D5585-11e1, adult female, sizes 00 to 20, straight figure: the rows read in an excerpt, which has no hip, arm or length",
		[]Name{"neck_base_girth", "neck_girth", "chest_girth", "waist_girth"}, d5585, d5585Bust("straight")),
	medians("ansur2-women", Women, [][]float64{
		{32, 1584, 813, 722, 912, 350, 351, 132, 340, 406, 520, 775, 269, 146, 149},
		{34, 1619, 864, 779, 969, 355, 359, 133, 351, 417, 537, 795, 283, 152, 153},
		{36, 1620, 914, 824, 1007, 367, 365, 135, 366, 420, 540, 801, 298, 153, 156},
		{38, 1637, 965, 875, 1034, 373, 368, 135, 380, 426, 545, 813, 310, 156, 159},
		{40, 1638, 1016, 935, 1061, 384, 368, 135, 390, 437, 548, 815, 321, 158, 158},
		{42, 1646, 1067, 990, 1095, 388, 371, 136, 400, 443, 551, 819, 341, 159, 160},
	}),
	medians("ansur2-men", Men, [][]float64{
		{36, 1741, 914, 780, 912, 406, 403, 150, 392, 460, 582, 870, 310, 168, 179},
		{38, 1734, 965, 828, 947, 413, 406, 148, 406, 463, 586, 875, 328, 170, 181},
		{40, 1750, 1016, 894, 989, 426, 412, 150, 420, 471, 591, 891, 345, 174, 186},
		{42, 1754, 1067, 955, 1025, 436, 416, 149, 431, 481, 591, 894, 358, 176, 189},
		{44, 1764, 1118, 1010, 1058, 446, 420, 150, 446, 486, 595, 909, 375, 179, 191},
		{46, 1778, 1168, 1067, 1096, 455, 428, 151, 462, 493, 600, 920, 389, 182, 195},
		{48, 1791, 1219, 1108, 1130, 467, 434, 155, 475, 505, 600, 931, 404, 185, 196},
	}),
	intervals("en-13402-3-women", Women, []string{"XXS", "XS", "S", "M", "L", "XL", "XXL", "3XL"},
		[]float64{660, 740, 820, 900, 980, 1070, 1190, 1310, 1430}),
	intervals("en-13402-3-men", Men, []string{"XXS", "XS", "S", "M", "L", "XL", "XXL", "3XL"},
		[]float64{700, 780, 860, 940, 1020, 1100, 1180, 1290, 1410}),
}

// d5585 are the sizes of ASTM D5585-11e1.
var d5585 = []string{"00", "0", "2", "4", "6", "8", "10", "12", "14", "16", "18", "20"}

// d5585Bust gives the columns of ASTM D5585-11e1 in inches: neck base, mid-neck, bust, and the waist of the figure type.
func d5585Bust(kind string) [][]float64 {
	waist := []float64{23.875, 24.625, 25.375, 26.125, 27, 28, 29, 30.75, 32.5, 34.5, 36.75, 39}
	if kind == "straight" {
		waist = []float64{25.375, 26.125, 26.875, 27.625, 28.5, 29.5, 30.5, 32.25, 34, 36, 38.25, 40.5}
	}
	return [][]float64{
		{13.25, 13.5, 13.75, 14, 14.25, 14.625, 14.875, 15.125, 15.5, 15.75, 16, 16.375},
		{12.375, 12.625, 12.875, 13.125, 13.375, 13.625, 13.875, 14.25, 14.625, 15, 15.5, 16},
		{31.125, 31.75, 33, 34.125, 35.25, 36.25, 37.25, 38.75, 40.375, 42.125, 44, 46},
		waist,
	}
}

// inches makes a table from columns of inches.
func inches(name string, f Figure, source string, measures []Name, sizes []string, columns [][]float64) Table {
	t := Table{Name: name, Figure: f, Source: source, Measures: measures}
	for i, size := range sizes {
		row := SizeRow{Size: size}
		for _, c := range columns {
			row.MM = append(row.MM, c[i]*25.4)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// medians makes a table from the survey's medians by chest girth: rows of the chest in inches, then millimetres.
func medians(name string, f Figure, rows [][]float64) Table {
	t := Table{Name: name, Figure: f,
		Source: "medians of the people of ANSUR II (2012, NATICK/TR-15/007) whose chest is within 12.7 mm of the size's, computed from the public data; soldiers; upper arm flexed, waist at the navel",
		Measures: []Name{"height", "chest_girth", "waist_girth", "hip_girth", "neck_base_girth", "biacromial_breadth", "shoulder_length",
			"back_width", "nape_to_waist", "arm_length", "nape_to_wrist", "upper_arm_girth_flexed", "wrist_girth", "underarm_depth"}}
	for _, r := range rows {
		t.Rows = append(t.Rows, SizeRow{Size: fmt.Sprint(r[0]), MM: r[1:]})
	}
	return t
}

// intervals makes a table of letter codes from the bounds of the chest or bust girth in mm; a size's own girth is the middle.
func intervals(name string, f Figure, sizes []string, bounds []float64) Table {
	t := Table{Name: name, Figure: f, Source: "letter codes of EN 13402-3, chest or bust interval, from memory: check against a copy of the standard", Measures: []Name{"chest_girth"}}
	for i, size := range sizes {
		t.Rows = append(t.Rows, SizeRow{Size: size, MM: []float64{(bounds[i] + bounds[i+1]) / 2}, Least: bounds[i], Most: bounds[i+1]})
	}
	return t
}

// Size is the card of a size of a table: its figures as given, each saying which table it is from. An unknown table or
// size is an error that names those there are.
func Size(table, size string) (Card, error) {
	var names []string
	for i := range Tables {
		t := &Tables[i]
		if !strings.EqualFold(t.Name, table) {
			names = append(names, t.Name)
			continue
		}
		var sizes []string
		for _, r := range t.Rows {
			if !strings.EqualFold(r.Size, size) {
				sizes = append(sizes, r.Size)
				continue
			}
			c := Card{Figure: t.Figure, Values: make(map[Name]Value, len(t.Measures))}
			for k, n := range t.Measures {
				if r.MM[k] > 0 {
					c.Values[n] = Value{MM: r.MM[k], From: Given, Why: "size " + r.Size + " of " + t.Name}
				}
			}
			return c, nil
		}
		return Card{}, fmt.Errorf("size is %q, table %s has %s", size, t.Name, strings.Join(sizes, ", "))
	}
	return Card{}, fmt.Errorf("size table is %q, it must be one of %s", table, strings.Join(names, ", "))
}
