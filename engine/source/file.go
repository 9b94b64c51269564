// Package source holds a file's bytes and places, and is the one reader of
// YAML.
//
// Its invariant: every key and every value keeps the exact place it came from,
// down to the character of a condition, so that whoever finds a fault later
// can point at it. What is read is bounded in size and depth, and aliases are
// refused, so no file can make the reader swell.
package source

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"sort"
	"strings"
	"unicode/utf8"

	"rungwise/engine/diag"
)

// MostBytes is the size of the largest file that is read.
const MostBytes = 4 << 20

// File is the bytes of one file and where its lines start.
type File struct {
	Path  string
	Bytes []byte
	text  string
	lines []int // byte offset of each line's first byte
	runes []int // characters before each stride-th byte
}

// stride is how many bytes are counted through at most to find a column, so that
// a file on one line costs no more than the same file on many.
const stride = 256

// New wraps bytes that are already in memory.
func New(path string, b []byte) *File {
	f := &File{Path: path, Bytes: b, text: string(b), lines: []int{0}}
	count := 0
	for i, c := range b {
		if i%stride == 0 {
			f.runes = append(f.runes, count)
		}
		if c == '\n' {
			f.lines = append(f.lines, i+1)
		}
		if utf8.RuneStart(c) {
			count++
		}
	}
	return f
}

// before counts the characters before a byte.
func (f *File) before(at int) int {
	if len(f.runes) == 0 {
		return 0
	}
	k := min(at/stride, len(f.runes)-1)
	count := f.runes[k]
	for _, c := range f.Bytes[k*stride : at] {
		if utf8.RuneStart(c) {
			count++
		}
	}
	return count
}

// Read reads a stream to its end, up to MostBytes.
func Read(path string, r io.Reader) (*File, error) {
	b, err := io.ReadAll(io.LimitReader(r, MostBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: could not be read: %w", path, err)
	}
	if len(b) > MostBytes {
		return nil, &Unreadable{path, fmt.Sprintf("this is over %d MB, and no more is read", MostBytes>>20), "split it, or take out what does not belong"}
	}
	return New(path, b), nil
}

// Open reads one file of a file system. What is no file is not opened.
func Open(fsys fs.FS, name, path string) (*File, error) {
	if info, err := fs.Stat(fsys, name); err == nil {
		if err := Readable(path, info); err != nil {
			return nil, err
		}
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: could not be opened: %w", path, err)
	}
	defer f.Close()
	return Read(path, f)
}

// Hash returns the SHA-256 of the bytes in hexadecimal.
func (f *File) Hash() string {
	sum := sha256.Sum256(f.Bytes)
	return hex.EncodeToString(sum[:])
}

// Place turns a stretch of bytes into a place. A stretch that runs over the
// end of its line is cut there; offsets outside the file are pulled into it.
func (f *File) Place(start, end int) diag.Place {
	start = min(max(start, 0), len(f.Bytes))
	line := sort.Search(len(f.lines), func(i int) bool { return f.lines[i] > start }) - 1
	text := f.line(line)
	from := f.lines[line] + min(start-f.lines[line], len(text))
	to := f.lines[line] + min(max(end, start)-f.lines[line], len(text))
	col := f.before(from)
	return diag.Place{
		Path:  f.Path,
		Line:  line + 1,
		Col:   col - f.before(f.lines[line]) + 1,
		Width: max(1, f.before(max(from, to))-col),
		Text:  text,
	}
}

// line returns the text of a line (from 0) without its end.
func (f *File) line(i int) string {
	return strings.TrimSuffix(f.text[f.lines[i]:f.end(i)], "\r")
}

// end is the byte after the last of a line (from 0), its end not counted.
func (f *File) end(i int) int {
	if i+1 < len(f.lines) {
		return f.lines[i+1] - 1
	}
	return len(f.Bytes)
}

// offset returns the byte at a line and column, both from 1, the column
// counted in characters.
func (f *File) offset(line, col int) int {
	if line < 1 || line > len(f.lines) {
		return len(f.Bytes)
	}
	at, end := f.lines[line-1], f.end(line-1)
	want := f.before(at) + col - 1
	if k := sort.SearchInts(f.runes, want+1) - 1; k*stride > at {
		at = k * stride
	}
	for count := f.before(at); at < end; at++ {
		if !utf8.RuneStart(f.Bytes[at]) {
			continue
		}
		if count >= want {
			break
		}
		count++
	}
	return at
}

// bom reports whether the file starts with a byte-order mark.
func (f *File) bom() bool { return bytes.HasPrefix(f.Bytes, []byte("\xef\xbb\xbf")) }
