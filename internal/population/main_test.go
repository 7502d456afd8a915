package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"clothwright/internal/population/fit"
)

// The committed figures are those of the sample of ANSUR II (2012, NATICK/TR-15/007).
func TestCommittedFiguresAreThoseOfTheData(t *testing.T) {
	f, err := os.Open("../../../shared/data/bodies.csv")
	if err != nil {
		t.Skip("the table of measured people, ../shared/data/bodies.csv, is not here")
	}
	defer f.Close()
	people, err := fit.Read(f)
	if err != nil {
		t.Fatal(err)
	}
	want, err := generate(fit.Of(people, surveySource))
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile("../../body/population.go")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("body/population.go is not what the data give: run go run ./internal/population from the root")
	}
}

func TestATableThatCannotBeReadSaysWhere(t *testing.T) {
	header := "id,sex,age"
	row := "p1,f,30"
	for _, n := range fit.Measured {
		header += "," + string(n)
		row += ",500"
	}
	for _, c := range []struct{ table, says string }{
		{"", "no rows"},
		{"id,sex,age\np1,f,30\n", "no column height"},
		{header + "\n" + strings.Replace(row, ",f,", ",x,", 1) + "\n", "line 2: sex is \"x\""},
		{header + "\n" + row + "\n" + strings.Replace(row, "500", "-1", 1) + "\n", "line 3: height is \"-1\""},
	} {
		if _, err := fit.Read(strings.NewReader(c.table)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("the error is %v, it should say %q", err, c.says)
		}
	}
}
