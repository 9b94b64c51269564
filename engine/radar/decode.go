package radar

import (
	"bytes"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// decode turns the bytes into text: UTF-8 with or without its mark, UTF-16
// either way round, or, where the bytes are no UTF-8, Latin-1.
func (r *reader) decode(b []byte) {
	switch {
	case len(bytes.TrimSpace(b)) == 0:
		r.refuse("R603", "the file is empty", "")
		return
	case bytes.HasPrefix(b, []byte("PK\x03\x04")), bytes.HasPrefix(b, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		r.refuse("R604", "this is a spreadsheet workbook, not a text file", "save it as CSV and give that file")
		return
	}
	if little, big := wide(b); little || big {
		r.text = fromUTF16(b, big)
		r.m.Notes = append(r.m.Notes, "read as UTF-16")
	} else if b = bytes.TrimPrefix(b, []byte("\ufeff")); utf8.Valid(b) {
		r.text = string(b)
	} else {
		r.text = fromLatin1(b)
		r.m.Notes = append(r.m.Notes, "read as Latin-1")
	}
	if strings.ContainsRune(r.text, 0) {
		r.refuse("R605", "this is not a text file", "export the readings as CSV")
		return
	}
	if !strings.Contains(r.text, "\n") {
		r.text = strings.ReplaceAll(r.text, "\r", "\n")
	}
	r.lines = []int{0}
	for i := range len(r.text) {
		if r.text[i] == '\n' {
			r.lines = append(r.lines, i+1)
		}
	}
}

// wide tells UTF-16 by its mark, or without one by a first letter with a zero
// byte on one side.
func wide(b []byte) (little, big bool) {
	if len(b) < 2 || len(b)%2 != 0 {
		return false, false
	}
	little = b[0] == 0xFF && b[1] == 0xFE || b[0] != 0 && b[1] == 0
	big = b[0] == 0xFE && b[1] == 0xFF || b[0] == 0 && b[1] != 0
	return little, big
}

func fromUTF16(b []byte, big bool) string {
	units := make([]uint16, len(b)/2)
	for i := range units {
		lo, hi := b[2*i], b[2*i+1]
		if big {
			lo, hi = hi, lo
		}
		units[i] = uint16(hi)<<8 | uint16(lo)
	}
	return strings.TrimPrefix(string(utf16.Decode(units)), "\ufeff")
}

func fromLatin1(b []byte) string {
	out := make([]rune, len(b))
	for i, c := range b {
		out[i] = rune(c)
	}
	return string(out)
}
