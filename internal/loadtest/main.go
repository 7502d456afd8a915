// Command loadtest asks a workroom for its pages as a busy room does, while a lay is looked for, and says how long they took.
//
//	go run ./internal/loadtest -workers 20 -for 60s
//
// It opens a workroom of its own on loopback, on a folder of invented jobs and a book of invented clients, and asks and answers in one
// process: what asking costs is in the figures too. Each worker goes on as soon as it is answered, unless -think says otherwise. Sheets
// that are printed are counted apart from pages. It ends with exit 1 when any request failed.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/pprof"
	"slices"
	"strings"
	"sync"
	"time"

	"clothwright/book"
	"clothwright/internal/spent"
	"clothwright/web"
)

func main() {
	workers := flag.Int("workers", 20, "how many ask at once")
	long := flag.Duration("for", time.Minute, "how long they ask")
	think := flag.Duration("think", 0, "how long each waits between an answer and the next request")
	jobs := flag.Int("jobs", 200, "how many jobs and clients the room keeps")
	noLay := flag.Bool("nolay", false, "look for no lay meanwhile")
	profile := flag.String("profile", "", "write a profile of the processor to this file")
	flag.Parse()
	if err := run(*workers, *long, *think, *jobs, !*noLay, *profile); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func run(workers int, long, think time.Duration, jobs int, laying bool, profile string) error {
	dir, err := os.MkdirTemp("", "loadtest-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	room, err := open(dir, jobs)
	if err != nil {
		return err
	}
	defer room.close()
	if profile != "" {
		f, err := os.Create(profile)
		if err != nil {
			return err
		}
		defer f.Close()
		if err := pprof.StartCPUProfile(f); err != nil {
			return err
		}
		defer pprof.StopCPUProfile()
	}
	began, before := time.Now(), spent.Processor()
	ctx, stop := context.WithTimeout(context.Background(), long)
	defer stop()
	var all sync.WaitGroup
	rounds := 0
	if laying {
		all.Go(func() { rounds = room.lookForALay(ctx) })
	}
	found := make([]*tally, workers)
	for i := range found {
		found[i] = &tally{took: map[string][]time.Duration{}}
		all.Go(func() { room.work(ctx, i, think, found[i]) })
	}
	all.Wait()
	took := time.Since(began)
	fmt.Printf("%.1f s of the processors' %.1f s were had", (spent.Processor() - before).Seconds(), took.Seconds()*float64(runtime.GOMAXPROCS(0)))
	fmt.Printf(" by asking, answering and the lay together.\n")
	return report(found, took.Round(time.Second), workers, rounds)
}

// room is a workroom under load.
type room struct {
	base   string
	ids    []string
	folder *web.Folder
	book   *book.Book
	end    func()
}

func open(dir string, jobs int) (*room, error) {
	f, err := web.OpenFolder(filepath.Join(dir, "jobs"))
	if err != nil {
		return nil, err
	}
	b, err := book.Create(filepath.Join(dir, "room.book"), book.Options{Now: time.Now, Program: "loadtest", Wait: 5 * time.Second})
	if err != nil {
		return nil, err
	}
	r := &room{folder: f, book: b}
	styles := []string{"trim", "regular", "roomy"}
	for i := range jobs {
		rec := &web.Record{Client: fmt.Sprintf("Invented %d", i), Number: fmt.Sprintf("L-%d", i), Garment: "rib-zip-jacket", Unit: "in", Style: map[string]string{"ease": styles[i%3]}, Measures: map[string]web.Typed{}}
		for n, v := range map[string]string{"chest_girth": fmt.Sprint(36 + i%9), "shoulder_width": "17", "body_length": "26", "arm_length": "25", "wrist_girth": "7"} {
			rec.Measures[n] = web.Typed{Text: v}
		}
		if err := f.Create(rec); err != nil {
			return nil, err
		}
		r.ids = append(r.ids, rec.ID)
	}
	err = b.Write(context.Background(), "inventing clients", func(tx *book.Tx) error {
		for i := range jobs {
			if _, err := tx.AddClient(book.Client{Code: fmt.Sprintf("C-%d", i), Name: fmt.Sprintf("Invented %d", i)}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	r.base = "http://" + l.Addr().String()
	key, err := f.Secret()
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		_ = web.New(web.Options{Store: f, Book: b, Key: key}).Serve(ctx, l)
	}()
	r.end = func() { stop(); <-done }
	return r, nil
}

func (r *room) close() {
	r.end()
	r.folder.Close()
	r.book.Close()
}

// tally is what one worker has met.
type tally struct {
	took   map[string][]time.Duration
	failed []string
}

// visitor is one browser.
type visitor struct {
	base, token string
	http        *http.Client
}

func (r *room) visitor() *visitor {
	jar, _ := cookiejar.New(nil)
	return &visitor{base: r.base, http: &http.Client{Jar: jar, Timeout: time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

var tokenIn = regexp.MustCompile(`name="token" value="([^"]+)"`)

// ask sends one request and reads the answer to its end.
func (v *visitor) ask(method, path string, form url.Values, live bool) (string, error) {
	var body io.Reader
	if method == http.MethodPost {
		form.Set("token", v.token)
		body = strings.NewReader(form.Encode())
	}
	q, err := http.NewRequest(method, v.base+path, body)
	if err != nil {
		return "", err
	}
	if body != nil {
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		q.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	if live {
		q.Header.Set("HX-Request", "true")
	}
	a, err := v.http.Do(q)
	if err != nil {
		return "", err
	}
	defer a.Body.Close()
	text, err := io.ReadAll(a.Body)
	if err != nil {
		return "", err
	}
	if a.StatusCode >= 400 {
		return "", fmt.Errorf("%d", a.StatusCode)
	}
	return string(text), nil
}

// enter gets the visitor its cookie and form token.
func (v *visitor) enter() error {
	page, err := v.ask("GET", "/", nil, false)
	if err != nil {
		return err
	}
	m := tokenIn.FindStringSubmatch(page)
	if m == nil {
		return fmt.Errorf("the first page has no form token")
	}
	v.token = m[1]
	return nil
}

// deed is one thing that is done in a workroom, and how often, in parts of all.
type deed struct {
	name   string
	parts  int
	method string
	path   func(mine, other string, n int) string
	form   func(n int) url.Values
	live   bool
	print  bool // a sheet, not a page
}

func at(path string) func(string, string, int) string {
	return func(mine, other string, _ int) string {
		return strings.NewReplacer("{mine}", mine, "{other}", other).Replace(path)
	}
}

func fill(pairs ...string) url.Values {
	out := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return out
}

// deeds are what a room asks for, by a guess at a busy day: much typing and chalking, now and then a look at the lists.
var deeds = []deed{
	{name: "jobs", parts: 8, method: "GET", path: at("/")},
	{name: "tape card", parts: 8, method: "GET", path: at("/jobs/{other}/measure")},
	{name: "a measure typed", parts: 20, method: "POST", path: at("/jobs/{mine}/measure"), live: true, form: func(n int) url.Values { return fill("m.hip_girth", fmt.Sprint(38+n%6)) }},
	{name: "design", parts: 10, method: "GET", path: at("/jobs/{other}/design")},
	{name: "a choice of style", parts: 10, method: "POST", path: at("/jobs/{mine}/design"), live: true, form: func(n int) url.Values { return fill("s.block_width", fmt.Sprintf("%d/16 in", 32+n%20)) }},
	{name: "tape on a piece", parts: 8, method: "GET", path: at("/jobs/{mine}/design/front?a=c2&b=c3"), live: true},
	{name: "pieces to chalk", parts: 4, method: "GET", path: at("/jobs/{mine}/table")},
	{name: "a chalk step", parts: 16, method: "POST", path: at("/jobs/{mine}/table/front"), live: true, form: func(n int) url.Values { return fill("go", []string{"next", "next", "back"}[n%3]) }},
	{name: "lay", parts: 5, method: "GET", path: at("/jobs/{other}/lay")},
	{name: "sheets", parts: 3, method: "GET", path: at("/jobs/{other}/sheets")},
	{name: "week", parts: 3, method: "GET", path: at("/week")},
	{name: "clients", parts: 3, method: "GET", path: at("/clients")},
	{name: "a client looked for", parts: 1, method: "POST", path: at("/clients/find"), live: true, form: func(n int) url.Values { return fill("part", fmt.Sprint("inv ", n%90)) }},
	{name: "orders", parts: 1, method: "GET", path: at("/orders")},
}

var sheet = deed{name: "a sheet printed", method: "GET", path: at("/jobs/{other}/sheets/chalk.pdf"), print: true}

// work asks until the time is up.
func (r *room) work(ctx context.Context, n int, think time.Duration, t *tally) {
	v := r.visitor()
	if err := v.enter(); err != nil {
		t.failed = append(t.failed, err.Error())
		return
	}
	chance := rand.New(rand.NewPCG(uint64(n), 7))
	whole := 0
	for _, d := range deeds {
		whole += d.parts
	}
	mine := r.ids[n%len(r.ids)]
	for i := 0; ctx.Err() == nil; i++ {
		pick, d := chance.IntN(whole), deeds[0]
		for _, d = range deeds {
			if pick -= d.parts; pick < 0 {
				break
			}
		}
		if n%5 == 0 && i == 30 { // a few sheets are printed, whatever the machine
			d = sheet
		}
		path := d.path(mine, r.ids[chance.IntN(min(len(r.ids), 20))], i)
		var form url.Values
		if d.form != nil {
			form = d.form(i + n)
		}
		began := time.Now()
		_, err := v.ask(d.method, path, form, d.live)
		took := time.Since(began)
		if err != nil {
			t.failed = append(t.failed, d.name+": "+err.Error())
			continue
		}
		t.took[d.name] = append(t.took[d.name], took)
		if think > 0 {
			time.Sleep(think)
		}
	}
}

// lookForALay has a search run all the while, and says how many lays it has tried.
func (r *room) lookForALay(ctx context.Context) int {
	v := r.visitor()
	if err := v.enter(); err != nil {
		return 0
	}
	path := "/jobs/" + r.ids[len(r.ids)-1] + "/lay/shell"
	tries := regexp.MustCompile(`Lays tried: (\d+)`)
	count := 0
	for ctx.Err() == nil {
		_, _ = v.ask("POST", path, fill("do", "start", "width", "60", "fold", "lengthwise"), false)
		select {
		case <-ctx.Done():
		case <-time.After(2 * time.Second):
		}
		if page, err := v.ask("GET", path, nil, false); err == nil {
			if m := tries.FindStringSubmatch(page); m != nil {
				fmt.Sscan(m[1], &count)
			}
		}
	}
	_, _ = v.ask("POST", path, fill("do", "stop"), false)
	return count
}

func report(found []*tally, long time.Duration, workers, rounds int) error {
	by := map[string][]time.Duration{}
	var pages []time.Duration
	var failed []string
	for _, t := range found {
		failed = append(failed, t.failed...)
		for name, took := range t.took {
			by[name] = append(by[name], took...)
			if name != sheet.name {
				pages = append(pages, took...)
			}
		}
	}
	fmt.Printf("%s, %s/%s, GOMAXPROCS %d; %d workers for %s; %d lays tried meanwhile\n\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.GOMAXPROCS(0), workers, long, rounds)
	fmt.Printf("| asked for | requests | p50 | p95 | p99 | longest |\n|---|---:|---:|---:|---:|---:|\n")
	line := func(name string, took []time.Duration) {
		if len(took) == 0 {
			return
		}
		slices.Sort(took)
		p := func(q float64) string {
			return fmt.Sprintf("%.1f ms", took[min(int(q*float64(len(took))), len(took)-1)].Seconds()*1000)
		}
		fmt.Printf("| %s | %d | %s | %s | %s | %s |\n", name, len(took), p(0.5), p(0.95), p(0.99), p(1))
	}
	line("every page", pages)
	for _, d := range deeds {
		line(d.name, by[d.name])
	}
	line(sheet.name, by[sheet.name])
	fmt.Printf("\n%d requests, %d errors\n", len(pages)+len(by[sheet.name]), len(failed))
	if len(failed) > 0 {
		slices.Sort(failed)
		return fmt.Errorf("%d requests failed, such as %q", len(failed), failed[0])
	}
	return nil
}
