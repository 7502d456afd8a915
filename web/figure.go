package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"

	"clothwright/body"
)

// The figure is drawn in a box of its own: x = 0 is the middle of the body, y runs down from the crown at 0 to the floor at 480,
// eight heads of 60 (a drawing rule of thumb; from memory). It is nobody in particular.
const (
	figureOutline = "M0 58 L9 58 C9 66 10 70 15 73 C25 78 38 79 46 85 C54 91 57 101 58 113 C60 133 64 152 67 172 C71 194 77 216 80 236 C83 246 86 258 84 268 C83 276 78 279 75 273 C72 263 71 251 69 240 C64 222 56 200 52 178 C48 158 44 138 40 115 C40 131 37 146 35 160 C33 170 33 178 34 186 C37 204 42 218 42 236 C43 270 39 310 34 350 C33 380 34 402 27 456 C27 464 35 471 37 477 L14 477 C14 468 13 461 13 456 C12 420 12 390 10 352 C8 310 5 282 0 254"
	figureHead    = "M0 2 C14 2 21 13 20 28 C19 44 11 60 0 60"
)

// figureInk are the few lines inside the outline that tell front from back.
var figureInk = map[string][]string{
	"front": {"M-9 68 Q0 78 9 68", "M-34 134 Q-22 144 -6 137", "M34 134 Q22 144 6 137", "M0 226 L0 228"},
	"back":  {"M0 76 L0 214", "M-30 100 Q-16 112 -18 130", "M30 100 Q16 112 18 130", "M-20 254 Q-10 262 0 254 Q10 262 20 254"},
}

// run is where one measure runs: seen, and behind the body.
type run struct {
	name   string
	view   string // "front" or "back"
	path   string
	behind string
}

// runs is where the tape lies for each measure, in the order of a tape card. The measures themselves are body's.
var runs = []run{
	{"height", "front", "M-92 1 L-92 478 M-98 1 L-86 1 M-98 478 L-86 478", ""},
	{"head_girth", "front", "M-20 24 Q0 31 20 24", "M-20 24 Q0 17 20 24"},
	{"neck_girth", "front", "M-10 64 Q0 69 10 64", "M-10 64 Q0 60 10 64"},
	{"neck_base_girth", "front", "M-16 73 Q0 88 16 73", "M-16 73 Q0 66 16 73"},
	{"shoulder_width", "back", "M-47 86 Q-20 76 0 77 Q20 76 47 86", ""},
	{"shoulder_length", "front", "M15 73 C25 77 37 78 46 85", ""},
	{"shoulder_slope", "front", "M15 73 L52 73 M15 73 L47 86 M40 73 Q41 78 39 82.5", ""},
	{"back_width", "back", "M-40 103 Q0 108 40 103", ""},
	{"front_width", "front", "M-40 103 Q0 109 40 103", ""},
	{"chest_girth", "front", "M-39 126 Q0 138 39 126", "M-39 126 Q0 116 39 126"},
	{"underbust_length", "front", "M15 73 Q22 110 18 142", ""},
	{"waist_girth", "front", "M-34 182 Q0 192 34 182", "M-34 182 Q0 174 34 182"},
	{"hip_girth", "front", "M-42 232 Q0 244 42 232", "M-42 232 Q0 222 42 232"},
	{"nape_to_waist", "back", "M0 70 L0 183", ""},
	{"front_waist_length", "front", "M-15 73 Q-22 120 -15 185", ""},
	{"underarm_depth", "back", "M0 70 L0 113 M-40 113 L40 113", ""},
	{"body_length", "front", "M-15 73 L-15 226 M-24 226 L-6 226", ""},
	{"arm_length", "back", "M47 86 C56 98 60 130 66 172 C70 196 76 218 77 240", ""},
	{"nape_to_wrist", "back", "M0 70 C20 78 40 78 47 86 C56 98 60 130 66 172 C70 196 76 218 77 240", ""},
	{"upper_arm_girth", "front", "M42 126 Q51 134 60 127", "M42 126 Q51 120 60 127"},
	{"upper_arm_girth_flexed", "front", "M43 132 Q52 140 61 133", "M43 132 Q52 126 61 133"},
	{"forearm_girth_flexed", "front", "M56 196 Q64 203 72 195", "M56 196 Q64 190 72 195"},
	{"elbow_girth", "front", "M52 176 Q60 183 68 175", "M52 176 Q60 170 68 175"},
	{"wrist_girth", "front", "M69 240 Q76 246 81 239", "M69 240 Q75 235 81 239"},
	{"hand_girth", "front", "M72 258 Q79 264 85 257", "M72 258 Q78 253 85 257"},
	{"nape_height", "back", "M-92 70 L-92 478 M-98 478 L-86 478 M-98 70 L0 70", ""},
	{"shoulder_point_height", "back", "M92 86 L92 478 M86 478 L98 478 M98 86 L47 86", ""},
	{"underarm_height", "back", "M92 113 L92 478 M86 478 L98 478 M98 113 L40 113", ""},
	{"waist_height", "back", "M92 183 L92 478 M86 478 L98 478 M98 183 L34 183", ""},
	{"hip_height", "back", "M92 234 L92 478 M86 478 L98 478 M98 234 L42 234", ""},
	{"biacromial_breadth", "back", "M-46 85 L46 85", ""},
}

// figureCSS lights up the line of the measure whose field is in use, and its card's head; no script is needed.
var figureCSS = func() []byte {
	var b bytes.Buffer
	for _, r := range runs {
		fmt.Fprintf(&b, ".measuring:has(#m-%[1]s:focus) .run-%[1]s,.measuring:has(#row-%[1]s:hover):not(:has(.measure input:focus)) .run-%[1]s{opacity:1}\n", r.name)
		fmt.Fprintf(&b, ".measuring:has(#m-%[1]s:focus) .figure-%[2]s{order:-1}\n", r.name, r.view)
		if m, _ := body.Lookup(r.name); m.Kind == body.Height { // from the floor: the whole figure must be seen
			fmt.Fprintf(&b, "@media (max-width:699px){.measuring:has(#m-%s:focus) .figure svg{height:27vh;height:27svh}}\n", r.name)
		}
		fmt.Fprintf(&b, "@media (max-width:699px){.measuring:has(#m-%[1]s:focus) .figure-%[2]s{display:none}.measuring:has(#m-%[1]s:focus) .figure-%[3]s{display:block}}\n", r.name, map[string]string{"front": "back", "back": "front"}[r.view], r.view)
	}
	return b.Bytes()
}()

// staticMark changes when any of the files handed out does.
var staticMark = func() string {
	h := sha256.New()
	h.Write(figureCSS)
	_ = fs.WalkDir(staticFiles, "static", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			src, _ := fs.ReadFile(staticFiles, path)
			fmt.Fprintf(h, "%s %d\n", path, len(src))
			h.Write(src)
		}
		return nil
	})
	return hex.EncodeToString(h.Sum(nil)[:9])
}()
