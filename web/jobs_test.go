package web

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A job is deleted after it was asked for, is nowhere to be found, and is taken back with everything that was kept of it.
func TestAJobIsDeletedAndTakenBack(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Kept.Steps = map[string]int{"back": 3}; return nil }); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/measure")), click(".away"), until(`document.querySelector("#delete-job")`))
	accessible(t, ctx, "the question")
	if jobs, _ := r.folder.List(); len(jobs) != 1 {
		t.Fatal("it is deleted before it was said")
	}
	do(t, ctx, click("#delete-job"), until(`document.querySelector("#gone[open]")`))
	accessible(t, ctx, "the jobs after one was deleted")
	if jobs, _ := r.folder.List(); len(jobs) != 0 {
		t.Error("it is still there")
	}
	c := newClient(t, r.url(""))
	for _, p := range pagesOf(job.ID)[2:] {
		if status, _, _ := c.send("GET", p, "", nil); status != http.StatusNotFound {
			t.Errorf("%s of a deleted job is answered with %d", p, status)
		}
	}
	r.stop()
	r.start()
	do(t, ctx, reload(), until(`document.querySelector("#gone[open]")`), click("#gone button"), until(`document.querySelector("#client")`))
	if got := r.only(); got.Kept.Steps["back"] != 3 || got.Measures["chest_girth"].Text != "40" || got.Kept.Gone != nil {
		t.Errorf("taken back is %+v", *got)
	}
}

// After thirty days, which the question names, a deleted job is thrown away, and not before.
func TestADeletedJobIsThrownAwayInTime(t *testing.T) {
	f, err := OpenFolder(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	now := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	s := New(Options{Store: f, Key: randomBytes(32), Now: func() time.Time { return now }})
	r := &Record{Garment: "rib-zip-jacket", Unit: "in"}
	if err := f.Create(r); err != nil {
		t.Fatal(err)
	}
	gone := now
	if err := f.Change(r.ID, func(j *Record) error { j.Kept.Gone = &gone; return nil }); err != nil {
		t.Fatal(err)
	}
	look := func() int {
		v := &visit{s: s, r: httpGet(t, "/"), words: languages["en"]}
		if _, err := v.jobsView(""); err != nil {
			t.Fatal(err)
		}
		list, _ := f.Gone()
		return len(list)
	}
	now = gone.Add(30*24*time.Hour - time.Minute)
	if look() != 1 {
		t.Error("it is thrown away too soon")
	}
	now = gone.Add(30*24*time.Hour + time.Minute)
	if look() != 0 {
		t.Error("it is not thrown away")
	}
	if err := f.TakeBack(r.ID); err != ErrNone {
		t.Errorf("what was thrown away is taken back: %v", err)
	}
}

func httpGet(t testing.TB, path string) *http.Request {
	r, err := http.NewRequest("GET", path, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestDeletingIsGuarded(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	c := newClient(t, r.url(""))
	token := c.token("/jobs/" + job.ID + "/delete")
	for _, x := range []struct {
		path, body string
		want       int
	}{
		{"/jobs/" + job.ID + "/delete", "", 403}, {"/jobs/" + job.ID + "/delete", "token=%zz", 400}, {"/jobs/" + job.ID + "/delete", form("token", token, "x", strings.Repeat("x", mostBody)), 413},
		{"/jobs/" + job.ID + "/back", "", 403}, {"/jobs/aaaaaaaaaaaaaaaa/back", form("token", token), 404}, {"/jobs/..%2f.key/back", form("token", token), 404}, {"/jobs/aaaaaaaaaaaaaaaa/delete", form("token", token), 404},
		{"/jobs/find", form("find", "x"), 403}, {"/jobs/find", form("token", token, "find", "\xff<script>"), 200},
	} {
		if status, page, _ := c.send("POST", x.path, x.body, nil); status != x.want || strings.Contains(page, "<script>") {
			t.Errorf("%s with %.40q is answered with %d; %d is wanted", x.path, x.body, status, x.want)
		}
	}
	r.only()
}

// What is looked for is found in any script and stands in no address; a long list comes in leaves.
func TestJobsAreFoundAndLeafed(t *testing.T) {
	r := openRoom(t)
	names := []string{"Ọlá Àkàndé", "Αλεξάνδρα Παπαδοπούλου", "Nguyễn Thị Minh Khai", "ليلى بنت منصور"}
	for i := range 130 {
		rec := &Record{Client: fmt.Sprintf("Invented %d", i), Garment: "rib-zip-jacket", Unit: "in"}
		if i < len(names) {
			rec.Client = names[i]
		}
		if err := r.folder.Create(rec); err != nil {
			t.Fatal(err)
		}
	}
	c := newClient(t, r.url(""))
	token := c.token("/")
	for _, x := range []struct{ find, want string }{{"ọlá", names[0]}, {"παπαδ", names[1]}, {"minh NGUYỄN", names[2]}, {"منصور", names[3]}} {
		status, page, h := c.send("POST", "/jobs/find", form("token", token, "find", x.find), nil)
		if status != 200 || !strings.Contains(page, x.want) || strings.Count(page, "<strong>") != 1 || h.Get("Location") != "" {
			t.Errorf("%q finds %d, of them wanted %v", x.find, strings.Count(page, "<strong>"), strings.Contains(page, x.want))
		}
	}
	seen := 0
	for _, p := range []string{"/", "/?from=60", "/?from=120"} {
		_, page, _ := c.send("GET", p, "", nil)
		seen += strings.Count(page, "<strong>")
	}
	if seen != 130 {
		t.Errorf("three leaves show %d of 130 jobs", seen)
	}
	for _, p := range []string{"/?from=-1", "/?from=999999", "/?from=1e9", "/?from=%00"} {
		if status, page, _ := c.send("GET", p, "", nil); status != 200 || !strings.Contains(page, "<strong>") {
			t.Errorf("%s is answered with %d and no job", p, status)
		}
	}
}

// A job whose file was changed by another program is listed as it is now.
func TestTheListSeesWhatOthersChange(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	r.only()
	name := filepath.Join(r.dir, job.ID+".toml")
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(strings.Replace(string(src), "Invented Client", "Another", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	kept(t, r, "what another program has written", func(j *Record) bool { return j.Client == "Another" })
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Client = "A third"; return nil }); err != nil {
		t.Fatal(err)
	}
	if got := r.only().Client; got != "A third" {
		t.Errorf("after a change the list says %q", got)
	}
	if err := r.folder.Remove(job.ID); err != nil {
		t.Fatal(err)
	}
	if jobs, _ := r.folder.List(); len(jobs) != 0 {
		t.Error("a removed job is listed")
	}
}

// Left and right apart, in the page and in the pieces: a longer left arm makes a left sleeve.
func TestLeftAndRightApart(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/measure")), until(`document.documentElement.classList.contains("live")`), evaluate(`document.querySelector(".sides").closest("details").open=true`), click("#left-arm_length"), typeIn("26 1/"), until(`document.querySelector("#says-left-arm_length .wrong")`), typeIn("2"))
	kept(t, r, "the left arm", func(j *Record) bool { return j.Left["arm_length"].Text == "26 1/2" })
	do(t, ctx, until(`!document.querySelector("#says-left-arm_length .wrong")`), reload(), until(`document.querySelector("#left-arm_length").value==="26 1/2"&&document.querySelector(".sides").checkVisibility()`))
	accessible(t, ctx, "left and right apart")
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/design")), until(`document.querySelector('.gallery a[href$="/sleeve_left"]')&&document.querySelector('.gallery a[href$="/sleeve_right"]')`))
	// Another tape for the page does not change what was measured.
	c := newClient(t, r.url(""))
	c.send("POST", "/jobs/"+job.ID+"/measure", form("token", c.token("/"), "unit", "cm"), nil)
	if got := r.only().Left["arm_length"].Text; got != "26 1/2 in" {
		t.Errorf("on a metric page the left arm is %q", got)
	}
}

// A house file of the folder can be chosen, and only one that is there.
func TestTheHouseFileIsChosen(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	for name, src := range map[string]string{"Evening-room.toml": "format = 1\ntape = \"1/8 in\"\nunit = \"in\"\n[allowances]\nother = \"5/8\"\n", "costing.toml": "rates = 3\n"} {
		if err := os.WriteFile(filepath.Join(r.dir, name), []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if list, err := r.folder.Houses(); err != nil || len(list) != 1 || list[0] != "Evening-room.toml" {
		t.Errorf("house files are %v, %v", list, err)
	}
	c := newClient(t, r.url(""))
	at := "/jobs/" + job.ID + "/measure"
	token := c.token(at)
	for _, x := range []struct{ name, want string }{{"Evening-room.toml", "Evening-room.toml"}, {"../outside.toml", "Evening-room.toml"}, {"costing.toml", "Evening-room.toml"}, {"", ""}, {"Evening-room.toml", "Evening-room.toml"}} {
		if c.send("POST", at, form("token", token, "house", x.name), nil); r.only().House != x.want {
			t.Errorf("%q was chosen, the job has %q", x.name, r.only().House)
		}
	}
	cut, err := r.server.cut(r.only())
	if err != nil || cut.err != nil {
		t.Fatal(err, cut.err)
	}
	if got := cut.result.Pattern.Piece("front").Edge("side").Allowance; got < 15.8 || got > 16 { // 5/8 in
		t.Errorf("the side's allowance is %.2f mm; the chosen house says 5/8 in", got)
	}
}

// BenchmarkJobsPage is the list of jobs in a room that keeps 2,000.
func BenchmarkJobsPage(b *testing.B) {
	f, err := OpenFolder(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	for i := range 2000 {
		r := &Record{Client: fmt.Sprintf("Invented %d", i), Garment: "rib-zip-jacket", Unit: "in", Measures: map[string]Typed{"chest_girth": {Text: "40"}, "shoulder_width": {Text: "17"}, "body_length": {Text: "26"}, "arm_length": {Text: "25"}, "wrist_girth": {Text: "7"}}, Style: map[string]string{"ease": "roomy"}}
		if err := f.Create(r); err != nil {
			b.Fatal(err)
		}
	}
	s := New(Options{Store: f, Key: randomBytes(32)})
	for _, x := range []struct {
		name   string
		forget bool
	}{{"ReadAnew", true}, {"SeenBefore", false}} {
		b.Run(x.name, func(b *testing.B) {
			for b.Loop() {
				if x.forget {
					f.known, f.swept = nil, time.Time{}
				}
				v := &visit{s: s, r: httpGet(b, "/"), words: languages["en"]}
				view, err := v.jobsView("")
				if err != nil || view.All != 2000 || len(view.Lines) != jobsAtOnce {
					b.Fatal(view.All, len(view.Lines), err)
				}
			}
		})
	}
}
