package web

import (
	"crypto/rand"
	"encoding/base32"
	"errors"
	"strings"
	"time"

	"clothwright/lay"

	"clothwright/book"
)

// Record is one job as it is kept: what was typed, and how far the work has come.
type Record struct {
	ID      string // random, 16 letters and digits; it says nothing about the client
	Client  string
	Number  string // the job's own number or name
	Date    string // as it is to be printed
	Note    string
	Garment string
	Figure  string // "women", "men", "child" or empty
	Age     string // years, as typed
	Unit    string // "in" or "cm": what a bare number means, and which tape the room uses

	Demo  string // says that the people are invented, when they are
	House string // the house file, when it is another than the unit's own

	Measures map[string]Typed  // by measure name, as typed
	Left     map[string]Typed  // what was taken on the left side alone
	Right    map[string]Typed  // the same on the right
	Style    map[string]string // by option, as typed; absent where the garment's own choice stands

	Kept    Kept
	Changed time.Time // when it was last saved
}

// Typed is one measure as it was typed.
type Typed struct {
	Text      string
	Confirmed bool // it was doubted, measured again, and stands
}

// Kept is how far the work has come. It is not part of the job file.
type Kept struct {
	Steps map[string]int     `json:"steps,omitempty"` // by piece: how many chalk steps are done
	Unit  string             `json:"unit,omitempty"`  // the tape used at the table, empty for the job's
	Lays  map[string]KeptLay `json:"lays,omitempty"`  // by material: the best lay found

	Gone *time.Time `json:"gone,omitempty"` // when it was deleted; until it is thrown away it can be taken back

	Earlier []Earlier `json:"earlier,omitempty"` // as it was at moments that matter, the oldest first
	Compare string    `json:"compare,omitempty"` // which of them the design is compared with

	Client  string             `json:"client,omitempty"`  // the code in the book of the client it was begun for. A code may be given anew once its client is forgotten: the name must agree too
	Since   string             `json:"since,omitempty"`   // when that client was written into the book; empty when it is not known
	Card    int64              `json:"card,omitempty"`    // the number in the book of the tape card it was begun with
	Writing *Writing           `json:"writing,omitempty"` // it is no job but a tape card on its way into the book
	Laid    map[string]LaidOut `json:"laid,omitempty"`    // by material: how many shapes lie on the table
	Order   string             `json:"order,omitempty"`   // the number in the book of the order it belongs to
	Step    string             `json:"step,omitempty"`    // a sign of what it said when it was last in step with that order
}

// LaidOut is how far a lay is laid out at the table.
type LaidOut struct {
	Of string `json:"of"` // a sign of the lay; another lay is begun anew
	N  int    `json:"n"`
}

// Writing is what a tape card on its way into the book says beside its measures.
type Writing struct {
	By       string `json:"by,omitempty"`       // who holds the tape
	Corrects int64  `json:"corrects,omitempty"` // the number of the card it corrects
}

// begunFor reports whether the record was begun for this client, and not for one who was forgotten and had the same code.
func (r *Record) begunFor(x book.Client) bool {
	return r.Kept.Client == x.Code && (r.Kept.Since == "" || r.Kept.Since == x.Made)
}

// InWork reports whether the record is a job, not a tape card on its way into the book.
func (r *Record) InWork() bool { return r.Kept.Writing == nil }

// KeptLay is a lay by what it takes to find it again: the same cloth, seed and steps give the same lay.
type KeptLay struct {
	Width  string  `json:"width"` // as typed
	Fold   string  `json:"fold"`
	Nap    bool    `json:"nap,omitempty"`
	Of     string  `json:"of,omitempty"` // a sign of the pieces that were laid; other pieces need another lay
	Seed   uint64  `json:"seed,omitempty"`
	Steps  int64   `json:"steps,omitempty"`  // 0 when none was found yet
	Length float64 `json:"length,omitempty"` // of the lay, mm

	Hand   []HandPlace   `json:"hand,omitempty"` // every shape where it lies, once one was moved by hand; it counts for more than the seed
	HandOf string        `json:"hand_of,omitempty"`
	Folded *HandFold     `json:"folded,omitempty"` // how the cloth lay then; nil for as it says
	Undo   [][]HandPlace `json:"undo,omitempty"`   // what each move by hand has changed, as it was before; the last move last
}

// HandFold is how the cloth of a lay by hand is folded, where the search had found how.
type HandFold struct {
	Fold    string       `json:"fold"`
	Doubled float64      `json:"doubled"` // mm from the fold
	Parted  []lay.Parted `json:"parted"`  // nil and none are not the same: see lay.Cloth
}

// HandPlace is where one shape lies, as lay.Place has it.
type HandPlace struct {
	Piece   string  `json:"piece"`
	Copy    int     `json:"copy,omitempty"`
	Part    int     `json:"part,omitempty"`
	Turn    float64 `json:"turn,omitempty"` // degrees
	Flipped bool    `json:"flipped,omitempty"`
	X       float64 `json:"x"` // mm
	Y       float64 `json:"y"`
	Locked  bool    `json:"locked,omitempty"` // the search leaves it where it is
}

// ErrNone is the error for a job that is not there.
var ErrNone = errors.New("there is no such job")

// Store keeps jobs. All its methods may be called at once from many places.
type Store interface {
	// List is every job that is not deleted, the one changed last first. Its records are for reading only.
	List() ([]*Record, error)
	// Gone is every job that was deleted and can be taken back, the one deleted last first.
	Gone() ([]*Record, error)
	// TakeBack undoes the deletion of a job.
	TakeBack(id string) error
	// Houses are the house files that a job may choose, by name, beside the unit's own.
	Houses() ([]string, error)
	// Load is one job. The error is ErrNone where there is none and where it was deleted.
	Load(id string) (*Record, error)
	// Create keeps a new job and gives it its ID, when it has none of its own.
	Create(r *Record) error
	// Remove throws a job away. The error is ErrNone where there is none.
	Remove(id string) error
	// Change loads a job, lets f change it, and keeps it whole, with no other change in between. When f returns an error
	// nothing is kept and Change returns that error.
	Change(id string, f func(r *Record) error) error
	// JobFile is the job as a job file that package job reads; what it refers to is read by Refer.
	JobFile(r *Record) ([]byte, error)
	// Lend keeps a file that a job refers to.
	Lend(name string, src []byte) error
	// Refer reads a file that a job file refers to, such as its house file.
	Refer(path string) ([]byte, error)
}

const idLength = 16

var idLetters = base32.StdEncoding.WithPadding(base32.NoPadding)

// newID is 80 random bits as sixteen small letters and digits.
func newID() string {
	var b [idLength * 5 / 8]byte
	rand.Read(b[:]) // never fails since Go 1.24
	return strings.ToLower(idLetters.EncodeToString(b[:]))
}

// isID reports whether s may be the ID of a job.
func isID(s string) bool {
	if len(s) != idLength {
		return false
	}
	for i := 0; i < len(s); i++ {
		if c := s[i]; !(c >= 'a' && c <= 'z' || c >= '2' && c <= '7') {
			return false
		}
	}
	return true
}
