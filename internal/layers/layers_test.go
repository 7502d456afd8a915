// Package layers holds the rooms to their doors: which package may import which.
package layers

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// may lists, for each room, the rooms it may import. A room not listed here may not exist; a folder below a
// room is the room's own unless it is listed itself.
var may = map[string][]string{
	"phrase":        {},
	"mistake":       {"phrase"},
	"tape":          {"phrase"},
	"curve":         {"curve/root"},
	"curve/root":    {},
	"body":          {"phrase", "tape"},
	"piece":         {"phrase", "curve", "tape"},
	"draft":         {"phrase", "body", "piece", "curve", "curve/root", "tape"},
	"garments":      {},
	"truing":        {"phrase", "piece", "body", "curve"},
	"lay":           {"phrase", "piece", "curve", "draft", "lay/pack"},
	"lay/pack":      {},
	"cost":          {"phrase", "piece", "lay", "mistake"},
	"sheet":         {"piece", "curve", "tape", "body", "lay", "cost", "sheet/drawing", "sheet/tile", "sheet/text"},
	"sheet/text":    {"curve"},
	"sheet/drawing": {"curve", "sheet/text"},
	"sheet/pdf":     {"curve", "sheet/drawing", "sheet/text"},
	"sheet/svg":     {"curve", "sheet/drawing", "sheet/text"},
	"sheet/bitmap":  {"curve", "sheet/drawing", "sheet/text"},
	"sheet/tile":    {"curve", "sheet/drawing", "sheet/text"},
	"sheet/docket":  {"cost", "curve", "tape", "piece", "sheet", "sheet/drawing", "sheet/text"},
	"sheet/nest":    {"curve", "tape", "piece", "sheet/drawing"},
	"sheet/layplan": {"curve", "tape", "piece", "lay", "draft", "sheet/drawing", "sheet/text"},
	"job":           {"phrase", "mistake", "tape", "curve", "body", "piece", "draft", "garments", "truing", "lay", "lay/pack", "cost", "sheet", "sheet/drawing", "sheet/pdf", "sheet/svg", "sheet/layplan", "sheet/nest", "sheet/text"},
	"book":          {"mistake"},
	"desk":          {"book", "job", "lay", "cost", "sheet/docket", "sheet/drawing", "sheet/bitmap", "sheet/pdf", "sheet/svg", "garments", "body", "piece", "tape"},
	// The pages show what job returns and what the book holds, so they know the words of the rooms below, as data to read; they call job, book and
	// desk alone, and of cost only how a currency is written.
	"web":             {"phrase", "mistake", "job", "book", "desk", "cost", "body", "curve", "draft", "garments", "lay", "piece", "tape", "sheet/drawing", "sheet/svg", "lay/pack"},
	"cmd/clothwright": {"mistake", "job", "cost", "desk", "body", "web", "book", "draft", "garments", "piece", "tape", "lay", "lay/pack", "sheet/layplan", "sheet/drawing", "sheet/pdf", "sheet/svg"},
}

// listed is what `go list -json` says of a package, as far as it is wanted.
type listed struct {
	ImportPath string
	Imports    []string
}

func TestRooms(t *testing.T) {
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "clothwright/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	found := map[string]bool{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		room := strings.TrimPrefix(p.ImportPath, "clothwright/")
		if strings.HasPrefix(room, "internal/") || strings.HasSuffix(room, "test") {
			continue
		}
		found[room] = true
		allowed, known := may[room]
		if !known {
			t.Errorf("%s is a room that internal/layers does not know: add it with what it may import", room)
			continue
		}
		for _, imp := range p.Imports {
			to, ours := strings.CutPrefix(imp, "clothwright/")
			if ours && !contains(allowed, to) {
				t.Errorf("%s imports %s, which its door does not lead to", room, to)
			}
		}
		// The pure rooms have no files, network, clock or chance of their own.
		if !strings.HasPrefix(room, "cmd/") && room != "web" && room != "book" {
			for _, imp := range p.Imports {
				if contains([]string{"os", "os/exec", "net", "net/http", "math/rand", "crypto/rand", "syscall"}, imp) {
					t.Errorf("%s imports %s: what it needs of the world is to be handed in", room, imp)
				}
			}
		}
	}
	for room := range may {
		if !found[room] {
			t.Errorf("%s is listed here and is no room", room)
		}
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
