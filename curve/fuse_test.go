package curve

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// On arm64 the compiler makes one rounding of a·b+c where amd64 has two (Go specification, Floating-point operators: an explicit
// conversion prevents it). A drawing must come out the same on both, so these packages have no such place; math.FMA, asked for by
// name, is the same everywhere.
func TestNothingIsFused(t *testing.T) {
	if testing.Short() {
		t.Skip("compiling for another processor is left out of short runs")
	}
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command to compile with")
	}
	cmd := exec.Command("go", "build", "-gcflags=-S", ".", "./root", "../tape")
	cmd.Env = append(os.Environ(), "GOARCH=arm64", "GOOS=linux", "CGO_ENABLED=0")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	fused := regexp.MustCompile(`\(([^()]*\.go):(\d+)\)\s+FN?M(ADD|SUB)D`)
	seen := map[string]bool{}
	for _, m := range fused.FindAllStringSubmatch(string(out), -1) {
		if at := m[1] + ":" + m[2]; !seen[at] && !strings.HasSuffix(m[1], "orient.go") {
			seen[at] = true
			t.Errorf("%s: a product and a sum are fused; write float64(a*b) + c", at)
		}
	}
	if !strings.Contains(string(out), "FMULD") {
		t.Error("the listing shows no multiplication at all: the check has gone blind")
	}
}
