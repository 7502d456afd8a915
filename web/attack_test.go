package web

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// client is a browser's part without a browser: it keeps cookies and does not follow.
type client struct {
	t    *testing.T
	http *http.Client
	base string
}

func newClient(t *testing.T, base string) *client {
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &client{t, &http.Client{Jar: jar, Timeout: 20 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}, base}
}

// send makes one request; change may alter it first.
func (c *client) send(method, path, body string, change func(*http.Request)) (int, string, http.Header) {
	c.t.Helper()
	r, err := http.NewRequest(method, c.base+path, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	if change != nil {
		change(r)
	}
	res, err := c.http.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer res.Body.Close()
	out, err := io.ReadAll(res.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return res.StatusCode, string(out), res.Header
}

var tokenIn = regexp.MustCompile(`name="token" value="([^"]+)"`)

// token reads the form token of a page.
func (c *client) token(path string) string {
	c.t.Helper()
	_, page, _ := c.send("GET", path, "", nil)
	m := tokenIn.FindStringSubmatch(page)
	if m == nil {
		c.t.Fatalf("%s has no form token", path)
	}
	return m[1]
}

func form(pairs ...string) string {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return v.Encode()
}

// Cross-site request forgery, as the OWASP Cheat Sheet on it lists the ways: another origin, no token, another's token.
func TestForgedChangesAreRefused(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	path := "/jobs/" + job.ID + "/measure"
	c := newClient(t, r.url(""))
	good := c.token(path)
	other := newClient(t, r.url("")).token(path)
	for _, x := range []struct {
		what, token string
		change      func(*http.Request)
	}{
		{"no token", "", nil},
		{"another browser's token", other, nil},
		{"a token and no cookie", good, func(r *http.Request) { r.Header.Set("Cookie", "x=y") }},
		{"another site", good, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }},
		{"another site, by an old browser", good, func(r *http.Request) {
			r.Header.Del("Sec-Fetch-Site")
			r.Header.Set("Origin", "http://elsewhere.example")
		}},
		{"another port of this machine", good, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }},
	} {
		user := c
		if x.what == "a token and no cookie" {
			user = newClient(t, r.url(""))
		}
		if status, _, _ := user.send("POST", path, form("token", x.token, "client", "Forged"), x.change); status != http.StatusForbidden {
			t.Errorf("%s: the answer is %d; 403 is wanted", x.what, status)
		}
	}
	if r.only().Client == "Forged" {
		t.Error("a forged change was made")
	}
	if status, _, _ := c.send("POST", path, form("token", good, "client", "Honest"), nil); status != http.StatusSeeOther || r.only().Client != "Honest" {
		t.Errorf("an honest change is answered with %d", status)
	}
}

// DNS rebinding: a foreign name that leads to this machine must not be answered, or its pages could read ours.
func TestForeignNamesAreNotAnswered(t *testing.T) {
	r := openRoom(t)
	c := newClient(t, r.url(""))
	for host, want := range map[string]int{"elsewhere.example": 421, "127.0.0.1.elsewhere.example": 421, "localhost:1": 200, "[::1]:7": 200, "192.168.1.7": 421} {
		if status, _, _ := c.send("GET", "/", "", func(q *http.Request) { q.Host = host }); status != want {
			t.Errorf("Host %s is answered with %d; %d is wanted", host, status, want)
		}
	}
}

func TestPathsDoNotLeadOut(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	outside := filepath.Join(filepath.Dir(r.dir), "outside.toml")
	if err := os.WriteFile(outside, []byte("garment = \"outside\"\nclient = \"SECRET\""), 0o600); err != nil {
		t.Fatal(err)
	}
	defer os.Remove(outside)
	if err := os.Symlink(outside, filepath.Join(r.dir, "aaaaaaaaaaaaaaaa.toml")); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{
		"/jobs/..%2foutside/measure", "/jobs/%2e%2e%2foutside/measure", "/jobs/../outside/measure", "/jobs/aaaaaaaaaaaaaaaa/measure", "/jobs/" + strings.ToUpper(job.ID) + "/measure",
		"/static/..%2fserver.go", "/static/%2e%2e/server.go", "/static/../words/en.toml", "/static/", "/jobs/" + job.ID + "/sheets/..%2f..%2fjob.json", "/jobs/" + job.ID + "/sheets/.key",
		"/jobs/" + job.ID + "/table/..%2ffront", "/.key", "//", "/jobs/" + job.ID + "/lay/..%2fshell",
	} {
		conn, err := net.Dial("tcp", r.addr)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n", p) // as it is, which a library would tidy
		conn.SetDeadline(time.Now().Add(10 * time.Second))
		answer, _ := io.ReadAll(conn)
		conn.Close()
		if bytes.HasPrefix(answer, []byte("HTTP/1.1 200")) || bytes.Contains(answer, []byte("SECRET")) {
			t.Errorf("%s is answered with %.60q", p, answer)
		}
	}
	// A house file is of the folder, whatever a job says.
	for _, p := range []string{"../outside.toml", "/etc/passwd", "a/../../outside.toml", ".key", "outside"} {
		if _, err := r.folder.Refer(p); err == nil {
			t.Errorf("a job may refer to %q", p)
		}
	}
}

func TestWhatIsTooLargeOrMangledIsRefused(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	path := "/jobs/" + job.ID + "/measure"
	c := newClient(t, r.url(""))
	token := c.token(path)
	large := form("token", token, "client", strings.Repeat("x", mostBody))
	for _, x := range []struct {
		what, method, body string
		change             func(*http.Request)
		want               int
	}{
		{"a large form", "POST", large, nil, 413},
		{"a large form whose length is not said", "POST", large, func(r *http.Request) { r.ContentLength = -1 }, 413},
		{"a form that cannot be read", "POST", "token=%zz&client=%", nil, 400},
		{"a form that is JSON", "POST", "{}", func(r *http.Request) { r.Header.Set("Content-Type", "application/json") }, 415},
		{"a form with files", "POST", "--b--", func(r *http.Request) { r.Header.Set("Content-Type", "multipart/form-data; boundary=b") }, 415},
		{"a form of no kind", "POST", "a=b", func(r *http.Request) { r.Header.Del("Content-Type") }, 415},
		{"another method", "PUT", "", nil, 405},
		{"another method", "DELETE", "", nil, 405},
		{"a page asked for with a body", "GET", "client=x", nil, 413},
	} {
		if status, page, _ := c.send(x.method, path, x.body, x.change); status != x.want || strings.Contains(page, "goroutine") || strings.Contains(page, "Error:") {
			t.Errorf("%s is answered with %d; %d is wanted", x.what, status, x.want)
		}
	}
	// What is in range but senseless is kept as typed or passed over, and never a fault of ours.
	for _, body := range []string{
		form("token", token, "m.chest_girth", "\x00\x1b[2J40"), form("token", token, "m.chest_girth", strings.Repeat("9", 5000)), form("token", token, "m.no_such", "1"), form("token", token, "unit", "ells"),
		form("token", token, "figure", "<b>"), form("token", token, "age", "NaN"), form("token", token, "client", "\xff\xfe"), form("token", token, "m.chest_girth", "NaN", "m.wrist_girth", "-1e309"), form("token", token, "m.chest_girth", `40" # '''`, "note", "\"\"\"\n[style]\nease = 1"),
	} {
		if status, _, _ := c.send("POST", path, body, nil); status != http.StatusSeeOther {
			t.Errorf("%.80q is answered with %d", body, status)
		}
		for _, p := range pagesOf(job.ID) {
			if status, _, _ := c.send("GET", p, "", nil); status >= 500 {
				t.Errorf("after %.80q %s is answered with %d", body, p, status)
			}
		}
	}
	if status, _, _ := c.send("POST", "/jobs/"+job.ID+"/design", form("token", token, "s.ease", "<script>", "s.block_width", "1e99 in", "s.pocket", "maybe"), nil); status != http.StatusSeeOther {
		t.Errorf("a senseless style is answered with %d", status)
	}
	if status, _, _ := c.send("GET", "/jobs/"+job.ID+"/design", "", nil); status != 200 {
		t.Errorf("and its page with %d", status)
	}
}

// A maker's own script may take any memory, which nothing in the server watches: it is not run there, and the page says so.
func TestNoForeignScriptIsRun(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	// A script that would be refused at its first line if it were read at all.
	if err := os.WriteFile(filepath.Join(r.dir, "own.star"), []byte("refuse(\"IT WAS RUN\")"), 0o600); err != nil {
		t.Fatal(err)
	}
	job.Garment = "own.star"
	if err := r.folder.save(job); err != nil {
		t.Fatal(err)
	}
	c := newClient(t, r.url(""))
	said := false
	for _, p := range pagesOf(job.ID) {
		status, page, _ := c.send("GET", p, "", nil)
		if status >= 500 || strings.Contains(page, "IT WAS RUN") {
			t.Errorf("%s is answered with %d: %.300s", p, status, page)
		}
		said = said || strings.Contains(page, "script is drafted by the command clothwright cut alone")
	}
	if !said {
		t.Error("no page says why the job is not drafted")
	}
}

// A name that is a program must be shown, not run, on every page and in every file; no page may hold script or style of its own.
func TestAScriptInANameIsOnlyAName(t *testing.T) {
	const name = `"><script>document.title="run"</script><img src=x onerror=alert(1)>'`
	r := openRoom(t)
	job := r.measured()
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Client, j.Number = name, name; return nil }); err != nil {
		t.Fatal(err)
	}
	c := newClient(t, r.url(""))
	ownScript := regexp.MustCompile(`(?i)<script>|<script[^>]*src="[^/]|<style|href="javascript:|<img`)
	for _, p := range pagesOf(job.ID) {
		_, page, h := c.send("GET", p, "", nil)
		if m := ownScript.FindString(page); m != "" {
			t.Errorf("%s holds %q", p, m)
		}
		csp := h.Get("Content-Security-Policy")
		if !strings.Contains(csp, "script-src 'self'") || !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s has the policy %q", p, csp)
		}
	}
	if status, src, h := c.send("GET", "/jobs/"+job.ID+"/sheets/pieces.svg", "", nil); status != 200 || strings.Contains(src, "<script") || !strings.HasPrefix(h.Get("Content-Disposition"), "attachment") {
		t.Errorf("the picture is answered with %d and %q", status, h.Get("Content-Disposition"))
	}
	ctx := openTab(t)
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/measure")))
	if got := text(t, ctx, `document.title+document.querySelectorAll("img").length`); strings.Contains(got, "run") || !strings.HasSuffix(got, "0") {
		t.Errorf("the name was run: %s", got)
	}
	if got := text(t, ctx, `[...document.querySelectorAll("*")].filter(e=>[...e.attributes].some(a=>a.name.startsWith("on")||a.name==="style")).length`); got != "0" {
		t.Errorf("%s elements hold script or style of their own", got)
	}
	if got := text(t, ctx, `document.querySelector("#client").value`); got != name {
		t.Errorf("the name is shown as %q", got)
	}
}

// locked is a workroom that asks for a passphrase, with a clock that the test turns.
func locked(t *testing.T, passphrase string) (*client, *time.Time, *bytes.Buffer) {
	f, err := OpenFolder(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	lock, err := NewLock(passphrase)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	var said bytes.Buffer
	s := New(Options{Store: f, Key: randomBytes(32), Lock: lock, Now: func() time.Time { return now }, Log: log.New(&said, "", 0)})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { s.Serve(ctx, l); close(ended) }()
	t.Cleanup(func() { stop(); <-ended; f.Close() })
	return newClient(t, "http://"+l.Addr().String()), &now, &said
}

func TestGuessingIsSlowed(t *testing.T) {
	const right = "lantern otter gable thimble"
	c, now, said := locked(t, right)
	token := c.token("/enter")
	try := func(word string) int {
		status, _, _ := c.send("POST", "/enter", form("token", token, "passphrase", word), nil)
		return status
	}
	slowed := 0
	for i := range 20 {
		if try(fmt.Sprint("guess ", i)) == http.StatusTooManyRequests {
			slowed++
		}
	}
	if slowed < 14 {
		t.Errorf("of 20 guesses at once %d were turned away; only the first few may be looked at", slowed)
	}
	if got := try(right); got != http.StatusTooManyRequests {
		t.Errorf("the right passphrase in the middle of guessing is answered with %d", got)
	}
	*now = now.Add(longestWait)
	if got := try(right); got != http.StatusSeeOther {
		t.Errorf("the right passphrase after the wait is answered with %d", got)
	}
	if strings.Contains(said.String(), "lantern") || strings.Contains(said.String(), "guess") {
		t.Error("the log holds what was tried")
	}
}

func TestNothingIsSeenFromOutside(t *testing.T) {
	const right = "lantern otter gable thimble"
	c, now, _ := locked(t, right)
	for _, p := range []string{"/", "/jobs/aaaaaaaaaaaaaaaa/measure", "/jobs/aaaaaaaaaaaaaaaa/sheets/job.json", "/jobs/aaaaaaaaaaaaaaaa/lay/shell/events"} {
		if status, _, h := c.send("GET", p, "", nil); status != http.StatusSeeOther || h.Get("Location") != "/enter" {
			t.Errorf("%s is answered with %d before signing in", p, status)
		}
	}
	token := c.token("/enter")
	if status, _, _ := c.send("POST", "/jobs", form("token", token), nil); status != http.StatusUnauthorized {
		t.Errorf("a job can be made before signing in: %d", status)
	}
	_, _, h := c.send("POST", "/enter", form("token", token, "passphrase", right), nil)
	cookie := h.Get("Set-Cookie")
	for _, want := range []string{"HttpOnly", "SameSite=Strict", "Path=/"} {
		if !strings.Contains(cookie, want) {
			t.Errorf("the cookie %q is not %s", cookie, want)
		}
	}
	if status, _, _ := c.send("GET", "/", "", nil); status != 200 {
		t.Errorf("after signing in the jobs are answered with %d", status)
	}
	if status, _, _ := c.send("POST", "/jobs", form("token", token), nil); status != http.StatusForbidden {
		t.Errorf("a form token from before signing in still counts: %d", status)
	}
	*now = now.Add(stay + time.Minute)
	if status, _, _ := c.send("GET", "/", "", nil); status != http.StatusSeeOther {
		t.Errorf("a session that was not used for long still counts: %d", status)
	}
	c.send("POST", "/enter", form("token", c.token("/enter"), "passphrase", right), nil)
	c.send("POST", "/leave", form("token", c.token("/")), nil)
	if status, _, _ := c.send("GET", "/", "", nil); status != http.StatusSeeOther {
		t.Errorf("after locking the jobs are answered with %d", status)
	}
}

// RFC 9106 asks that the hash be salted; two of one passphrase must differ, and open to it alone.
func TestLocksAreSalted(t *testing.T) {
	a, err := NewLock("lantern otter gable thimble")
	if err != nil {
		t.Fatal(err)
	}
	b, _ := NewLock("lantern otter gable thimble")
	if a == b {
		t.Error("two locks of one passphrase are the same")
	}
	if !a.Opens("lantern otter gable thimble") || a.Opens("lantern otter gable thimbl") || a.Opens("") || Lock("").Opens("") || Lock("$argon2id$v=19$m=8,t=1,p=1$$").Opens("") {
		t.Error("a lock opens to what it should not, or not to what it should")
	}
}
