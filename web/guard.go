package web

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"golang.org/x/crypto/argon2"
)

func randomBytes(n int) []byte {
	b := make([]byte, n)
	rand.Read(b) // never fails since Go 1.24
	return b
}

// Lock is a passphrase as it may be kept: salted and hashed by argon2id, in the usual text form of such hashes.
type Lock string

// The cost of a try: 19 MiB, two passes, one lane, the least that the OWASP Password Storage Cheat Sheet asks of argon2id.
const (
	lockMemory = 19 * 1024
	lockPasses = 2
	lockLanes  = 1
	lockBytes  = 32
)

// LeastPassphrase is how many letters a passphrase must have. NIST SP 800-63B asks for 8 at least, and 15 where it stands alone; this
// one does.
const LeastPassphrase = 15

var lockText = base64.RawStdEncoding

// NewLock hashes a passphrase. The error says that it is too short.
func NewLock(passphrase string) (Lock, error) {
	if n := len([]rune(passphrase)); n < LeastPassphrase {
		return "", fmt.Errorf("the passphrase has %d letters; %d or more are needed, such as four words that do not belong together", n, LeastPassphrase)
	}
	salt := randomBytes(16)
	hash := argon2.IDKey([]byte(passphrase), salt, lockPasses, lockMemory, lockLanes, lockBytes)
	return Lock(fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, lockMemory, lockPasses, lockLanes, lockText.EncodeToString(salt), lockText.EncodeToString(hash))), nil
}

// ParseLock reads what NewLock has made.
func ParseLock(s string) (Lock, error) {
	if _, _, ok := Lock(s).parts(); !ok {
		return "", errors.New("the kept passphrase cannot be read; set it again")
	}
	return Lock(s), nil
}

func (l Lock) parts() (salt, hash []byte, ok bool) {
	f := strings.Split(string(l), "$")
	if len(f) != 6 || f[1] != "argon2id" || f[2] != fmt.Sprintf("v=%d", argon2.Version) || f[3] != fmt.Sprintf("m=%d,t=%d,p=%d", lockMemory, lockPasses, lockLanes) {
		return nil, nil, false
	}
	salt, bad := lockText.DecodeString(f[4])
	hash, bad2 := lockText.DecodeString(f[5])
	return salt, hash, bad == nil && bad2 == nil && len(salt) >= 8 && len(hash) == lockBytes
}

// Opens reports whether the passphrase is the right one.
func (l Lock) Opens(passphrase string) bool {
	salt, want, ok := l.parts()
	if !ok {
		return false
	}
	got := argon2.IDKey([]byte(passphrase), salt, lockPasses, lockMemory, lockLanes, lockBytes)
	return subtle.ConstantTimeCompare(got, want) == 1
}

// How guessing is slowed: after a few tries from one address the next must wait, each time twice as long; and all addresses
// together have a limit too. Common practice.
const (
	freeTries   = 5
	longestWait = 15 * time.Minute
	allTries    = 100 // from all addresses in one longestWait
	mostTracked = 4096
)

// door counts wrong passphrases and keeps who has signed in.
type door struct {
	now  func() time.Time
	busy chan struct{} // one passphrase is tried at a time: each takes memory

	mu       sync.Mutex
	tries    map[string]*tries
	all      tries
	sessions map[string]time.Time // until when
}

type tries struct {
	wrong int
	until time.Time // no try before
	last  time.Time
}

// stay is how long a session lasts that is not used.
const stay = 12 * time.Hour

func newDoor(now func() time.Time) *door {
	return &door{now: now, busy: make(chan struct{}, 1), tries: map[string]*tries{}, sessions: map[string]time.Time{}}
}

// wait is how long this address must wait before it may try.
func (d *door) wait(from string) time.Duration {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	if now.Sub(d.all.last) > longestWait {
		d.all = tries{}
	}
	if d.all.wrong >= allTries {
		return d.all.last.Add(longestWait).Sub(now)
	}
	if t := d.tries[from]; t != nil && t.until.After(now) {
		return t.until.Sub(now)
	}
	return 0
}

// wrong counts a try that failed. It is counted before the passphrase is looked at, so that many at once do not slip through.
func (d *door) count(from string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	t := d.tries[from]
	if t == nil {
		d.forget(now)
		t = &tries{}
		d.tries[from] = t
	}
	t.wrong++
	t.last = now
	if n := t.wrong - freeTries; n >= 0 {
		t.until = now.Add(min(time.Second<<min(n, 20), longestWait))
	}
	d.all.wrong++
	d.all.last = now
}

// forget drops addresses that have not tried for long, and all when they are too many.
func (d *door) forget(now time.Time) {
	for k, t := range d.tries {
		if now.Sub(t.last) > longestWait {
			delete(d.tries, k)
		}
	}
	if len(d.tries) >= mostTracked {
		clear(d.tries)
	}
}

// open makes a session.
func (d *door) open(from string) string {
	id := newVisit()
	d.mu.Lock()
	defer d.mu.Unlock()
	if t := d.tries[from]; t != nil {
		d.all.wrong -= min(d.all.wrong, t.wrong)
		delete(d.tries, from)
	}
	now := d.now()
	for k, until := range d.sessions {
		if now.After(until) {
			delete(d.sessions, k)
		}
	}
	d.sessions[id] = now.Add(stay)
	return id
}

// in reports whether a visit is a session, and prolongs it.
func (d *door) in(id string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	until, ok := d.sessions[id]
	now := d.now()
	if !ok || now.After(until) {
		delete(d.sessions, id)
		return false
	}
	d.sessions[id] = now.Add(stay)
	return true
}

func (d *door) out(id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.sessions, id)
}

// A visit is a browser that has our cookie. Its form token is made of the cookie and the server's key, so that no list of them
// is kept and a form outlives a restart.
const visitCookie = "clothwright"

func newVisit() string { return base64.RawURLEncoding.EncodeToString(randomBytes(24)) }

func visitOf(r *http.Request) string {
	c, err := r.Cookie(visitCookie)
	if err != nil || len(c.Value) != 32 {
		return ""
	}
	if _, err := base64.RawURLEncoding.DecodeString(c.Value); err != nil {
		return ""
	}
	return c.Value
}

func setVisit(w http.ResponseWriter, id string) {
	http.SetCookie(w, &http.Cookie{Name: visitCookie, Value: id, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 400 * 24 * 3600})
}

func (s *Server) token(visit string) string {
	m := hmac.New(sha256.New, s.key)
	m.Write([]byte("form token of " + visit))
	return base64.RawURLEncoding.EncodeToString(m.Sum(nil))
}

func (s *Server) tokenFits(visit, token string) bool {
	return visit != "" && hmac.Equal([]byte(s.token(visit)), []byte(token))
}

// addressOf is who asks, without the port.
func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// Loopback reports whether an address to listen on can be reached from this machine only.
func Loopback(listen string) bool {
	host, _, err := net.SplitHostPort(listen)
	if err != nil {
		return false
	}
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// ours reports whether a Host header may name this server: where it listens on loopback only, no foreign name may lead to it.
func (s *Server) ours(host string) bool {
	if s.lock != "" {
		return true // nobody is let in without signing in
	}
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}
