package web

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/sha256"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"mime"
	"net"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/a-h/templ"

	"clothwright/book"
)

//go:embed static
var staticFiles embed.FS

// Options is what a server is made of.
type Options struct {
	Store Store
	Book  *book.Book // clients, orders and money; nil where the room keeps none
	// BookFault is why the book that was asked for cannot be opened, in one sentence; its pages then say so.
	BookFault error

	Key  []byte           // 32 secret bytes, the same from start to start
	Lock Lock             // everybody signs in when it is not empty
	Now  func() time.Time // the clock; nil is the machine's
	Log  *log.Logger      // nil for none
}

// Server is the workroom. Make one with New.
type Server struct {
	store Store
	key   []byte
	signs cipher.Block // makes the signs of addresses

	book      *book.Book
	bookFault error
	carding   sync.Mutex // held while a tape card goes from the store into the book
	backing   sync.Mutex
	noBackup  atomic.Pointer[error]
	upload    chan struct{} // one table is taken in at a time: each takes memory
	tellMu    sync.Mutex
	told      map[string]string // by browser: what its next page says

	lock  Lock
	now   func() time.Time
	log   *log.Logger
	door  *door
	cuts  cuts
	lays  searches
	press press
	cards cards
	busy  atomic.Int64 // how many requests are being answered

	sayings sayings
	laid    laidResults
	trials  comparisons
	routes  http.Handler
}

// New makes a server.
func New(o Options) *Server {
	s := &Server{store: o.Store, key: o.Key, lock: o.Lock, now: o.Now, log: o.Log}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = log.New(discard{}, "", 0)
	}
	if len(s.key) < 16 {
		s.key = randomBytes(32)
	}
	s.book, s.bookFault = o.Book, o.BookFault
	sum := sha256.Sum256(append([]byte("signs of addresses "), s.key...))
	s.signs, _ = aes.NewCipher(sum[:]) // a key of 32 bytes is always one
	s.door = newDoor(s.now)
	s.upload = make(chan struct{}, 1)
	s.lays.turn = make(chan struct{}, 1)
	s.routes = s.handler()
	return s
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }

// Limits of what is taken from a browser.
const (
	mostBody   = 64 << 10
	mostHeader = 16 << 10
)

// HTTP is a server for the workroom with its limits of time and size set.
func (s *Server) HTTP() *http.Server {
	return &http.Server{
		Handler:           s,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      60 * time.Second, // streams of events set their own
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    mostHeader,
		ErrorLog:          log.New(discard{}, "", 0), // it would name addresses
	}
}

// Serve answers on a listener until the context ends, then lets what is under way be finished.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := s.HTTP()
	h.BaseContext = func(net.Listener) context.Context { return ctx } // ends streams of events
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.lays.stopAll()
	s.stopComparisons()
	end, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := h.Shutdown(end); err != nil {
		h.Close()
	}
	return nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.routes.ServeHTTP(w, r) }

// handler wires the pages and what stands before them.
func (s *Server) handler() http.Handler {
	mux := http.NewServeMux()
	page := func(pattern string, h func(*visit) error) {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) { s.visited(w, r, h) })
	}
	mux.HandleFunc("GET /static/{file}", s.static)
	for pattern, h := range s.pages() {
		page(pattern, h)
	}
	page("/", func(v *visit) error { return errNotFound })

	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, http.StatusForbidden, "error.foreign")
	}))
	return s.logged(s.guarded(cross.Handler(mux)))
}

// policy allows nothing but the program's own files, and no script or style written into a page.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// guarded sets the headers every answer has and turns away what is not for us.
func (s *Server) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)")
		h.Set("Cache-Control", "no-store")
		if !s.ours(r.Host) {
			s.fail(w, r, http.StatusMisdirectedRequest, "error.host")
			return
		}
		switch r.Method {
		case http.MethodGet, http.MethodHead:
			if r.ContentLength > 0 {
				s.fail(w, r, http.StatusRequestEntityTooLarge, "error.large")
				return
			}
		case http.MethodPost:
			kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
			upload := isUpload(r, kind)
			if err != nil || kind != "application/x-www-form-urlencoded" && !upload {
				s.fail(w, r, http.StatusUnsupportedMediaType, "error.form")
				return
			}
			most := int64(mostBody)
			if upload {
				most += mostUpload
				_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(2 * time.Minute))
			}
			if r.ContentLength > most {
				s.fail(w, r, http.StatusRequestEntityTooLarge, "error.large")
				return
			}
			r.Body = http.MaxBytesReader(w, r.Body, most)
		default:
			h.Set("Allow", "GET, HEAD, POST")
			s.fail(w, r, http.StatusMethodNotAllowed, "error.method")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// logged writes one line an answer: what was done, by the kind of page and never by its address, what came of it and how long it
// took. A fault of ours is caught here and logged with its place.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := s.now()
		if !strings.HasSuffix(r.URL.Path, "/events") && !strings.Contains(r.URL.Path, "/sheets/") { // one stays open while a lay is watched, one waits for a lay
			s.busy.Add(1)
			defer s.busy.Add(-1)
		}
		t := &told{ResponseWriter: w}
		defer func() {
			if bad := recover(); bad != nil {
				if bad == http.ErrAbortHandler {
					panic(bad)
				}
				s.log.Printf("a fault of the program: %T at %s", bad, debug.Stack())
				if t.status == 0 {
					s.fail(t, r, http.StatusInternalServerError, "error.ours")
				}
			}
			s.log.Printf("%s %s %d %s", r.Method, kindOf(r), t.status, s.now().Sub(began).Round(time.Millisecond))
		}()
		next.ServeHTTP(t, r)
	})
}

// kindOf is the pattern a request matched, which holds no job and no client.
func kindOf(r *http.Request) string {
	_, path, ok := strings.Cut(r.Pattern, " ")
	if !ok {
		return "-"
	}
	return path
}

// told remembers the status of an answer.
type told struct {
	http.ResponseWriter
	status int
}

func (t *told) WriteHeader(code int) {
	if t.status == 0 {
		t.status = code
	}
	t.ResponseWriter.WriteHeader(code)
}

func (t *told) Write(p []byte) (int, error) {
	if t.status == 0 {
		t.status = http.StatusOK
	}
	return t.ResponseWriter.Write(p)
}

// Unwrap lets http.ResponseController through.
func (t *told) Unwrap() http.ResponseWriter { return t.ResponseWriter }

// static hands out the program's own files.
func (s *Server) static(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	src, err := fs.ReadFile(staticFiles, "static/"+name)
	kind := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".webmanifest": "application/manifest+json"}[extension(name)]
	if name == "figure.css" {
		src, err, kind = figureCSS, nil, "text/css; charset=utf-8"
	}
	if err != nil || kind == "" {
		s.fail(w, r, http.StatusNotFound, "error.none")
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	if w.Header().Set("ETag", `"`+staticMark+`"`); r.Header.Get("If-None-Match") == `"`+staticMark+`"` {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Write(src)
}

func extension(name string) string {
	if i := strings.LastIndexByte(name, '.'); i >= 0 {
		return name[i:]
	}
	return ""
}

// visit is one request to a page.
type visit struct {
	s     *Server
	w     http.ResponseWriter
	r     *http.Request
	words *Words
	id    string // of the browser

	wrong string     // why the change that was sent could not be made, when the page is shown again
	typed url.Values // and what was typed
}

// refusal is an answer that is not a page: its status and the message that says why.
type refusal struct {
	status int
	key    string
}

func (r refusal) Error() string { return fmt.Sprintf("%d %s", r.status, r.key) }

var (
	errNotFound = refusal{http.StatusNotFound, "error.none"}
	errStale    = refusal{http.StatusForbidden, "error.stale"}
	errLarge    = refusal{http.StatusRequestEntityTooLarge, "error.large"}
	errMangled  = refusal{http.StatusBadRequest, "error.mangled"}
)

// languageCookie holds the language chosen on the pages.
const languageCookie = "language"

// visited answers a page's request: it knows the browser by its cookie, sends those who have not signed in to the door, and
// lets no change pass without its form token.
func (s *Server) visited(w http.ResponseWriter, r *http.Request, h func(*visit) error) {
	v := &visit{s: s, w: w, r: r, words: s.wordsOf(r), id: visitOf(r)}
	if r.Method == http.MethodPost && r.URL.Path == uploadPath { // a large body is read of nobody who has not signed in
		if s.lock != "" && !s.door.in(v.id) {
			v.refuse(refusal{http.StatusUnauthorized, "error.door"})
			return
		}
		select {
		case s.upload <- struct{}{}:
			defer func() { <-s.upload }()
		case <-r.Context().Done():
			return
		}
	}
	if err := v.enter(); err != nil {
		v.refuse(err)
		return
	}
	atDoor := r.URL.Path == "/enter"
	if s.lock != "" && !atDoor && !s.door.in(v.id) {
		if r.Method == http.MethodGet && r.Header.Get("HX-Request") == "" {
			http.Redirect(w, r, "/enter", http.StatusSeeOther)
			return
		}
		w.Header().Set("HX-Redirect", "/enter")
		v.refuse(refusal{http.StatusUnauthorized, "error.door"})
		return
	}
	if err := h(v); err != nil {
		v.refuse(err)
	}
}

// enter reads the form of a change and checks its token; a new browser gets its cookie.
func (v *visit) enter() error {
	if v.r.Method == http.MethodPost {
		if err := v.readForm(); err != nil {
			return err
		}
		token := v.r.PostForm.Get("token")
		if token == "" {
			token = v.r.Header.Get("X-Form-Token")
		}
		if !v.s.tokenFits(v.id, token) {
			return errStale
		}
	}
	if v.id == "" {
		v.id = newVisit()
		setVisit(v.w, v.id)
	}
	return nil
}

// refuse answers with a page that says why not.
func (v *visit) refuse(err error) {
	var no refusal
	text, status, said := saidOf(err)
	switch {
	case said:
		v.s.failWith(v.w, v.r, status, text)
		return
	case errors.As(err, &no):
	case errors.Is(err, ErrNone):
		no = errNotFound
	default:
		v.s.log.Printf("a fault: %s %s: %v", v.r.Method, kindOf(v.r), faultOf(err))
		no = refusal{http.StatusInternalServerError, "error.ours"}
	}
	v.s.fail(v.w, v.r, no.status, no.key)
}

// faultOf is what may be logged of an error: a file's name is a random number, its content is not shown.
func faultOf(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Op + ": " + p.Err.Error()
	}
	return fmt.Sprintf("%T", err)
}

// fail shows the page of an error.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, key string) {
	s.failWith(w, r, status, s.wordsOf(r).T(key))
}

// failWith shows the page of an error with its sentence.
func (s *Server) failWith(w http.ResponseWriter, r *http.Request, status int, text string) {
	words := s.wordsOf(r)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	if r.Method == http.MethodHead {
		return
	}
	_ = failPage(chrome{Words: words, Title: words.T("error.title")}, text).Render(r.Context(), w)
}

func (s *Server) wordsOf(r *http.Request) *Words {
	chosen := ""
	if c, err := r.Cookie(languageCookie); err == nil {
		chosen = c.Value
	}
	return wordsFor(chosen, r.Header.Get("Accept-Language"))
}

// chrome is what every page shows round its own content.
type chrome struct {
	*Words
	Title string
	Token string
	Job   *Record // nil outside a job
	Here  string  // the station of the job, or the page
	Door  bool    // somebody has signed in and may sign out
	Path  string

	Whose  int64      // the row in the book of the job's client, 0 for none
	Today  string     // the day to work by
	Ledger bool       // there is a book beside the jobs
	Told   string     // what the page before has to say
	Wrong  string     // why the change that was sent could not be made
	Typed  url.Values // what was typed then
	signed func(kind string, id int64) string
}

func (v *visit) chrome(title, here string, job *Record) chrome {
	path := v.r.URL.Path
	if v.wrong != "" { // a page shown again has the address of its form, where nothing can be read
		path = "/"
	}
	whose := int64(0) // the client's row, where the job was begun for one
	if job != nil && job.Kept.Client != "" && v.s.book != nil {
		if c, err := v.s.book.Client(v.r.Context(), job.Kept.Client); err == nil && job.begunFor(c) {
			whose = c.ID
		}
	}
	return chrome{Words: v.words, Title: title, Whose: whose, Token: v.s.token(v.id), Job: job, Here: here, Door: v.s.lock != "", Path: path,
		Today: v.today(), Ledger: v.s.book != nil || v.s.bookFault != nil, Told: v.heard(), Wrong: v.wrong, Typed: v.typed, signed: v.s.signed}
}

// show answers with a page or a part of one.
func (v *visit) show(parts ...templ.Component) error {
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	for _, c := range parts {
		if err := c.Render(v.r.Context(), v.w); err != nil {
			return nil // the browser has gone
		}
	}
	return nil
}

// live reports whether the request was made by the pages' script and wants only what has changed.
func (v *visit) live() bool { return v.r.Header.Get("HX-Request") == "true" }

// goTo sends the browser to another page after a change.
func (v *visit) goTo(path string) error {
	if held := v.r.PostForm.Get("held"); isHeld(held) {
		http.SetCookie(v.w, &http.Cookie{Name: heldCookie, Value: held, Path: "/", SameSite: http.SameSiteStrictMode, MaxAge: 600})
	}
	http.Redirect(v.w, v.r, path, http.StatusSeeOther)
	return nil
}

// A form that is typed at length is held in the browser's tab until its change is made. The page's script gives it a random name, which comes back in this
// cookie when it may be let go.
const heldCookie = "held"

func isHeld(s string) bool {
	for _, c := range s {
		if !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9') {
			return false
		}
	}
	return s != "" && len(s) <= 32
}

// job loads the job that the address names.
func (v *visit) job() (*Record, error) {
	r, err := v.s.store.Load(v.r.PathValue("id"))
	if err == nil && !r.InWork() {
		return nil, ErrNone
	}
	return r, err
}

// form is a text of the form without control characters, cut to a length that any name or note fits.
func (v *visit) form(name string) string { return clean(v.r.PostForm.Get(name)) }

const longestText = 400

func clean(s string) string {
	s = strings.ToValidUTF8(s, "")
	s = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return ' '
		}
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	if r := []rune(s); len(r) > longestText {
		s = string(r[:longestText])
	}
	return strings.TrimSpace(s)
}
