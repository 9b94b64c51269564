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
	lines []int // byte offset of each line's first byte
}

// New wraps bytes that are already in memory.
func New(path string, b []byte) *File {
	f := &File{Path: path, Bytes: b, lines: []int{0}}
	for i, c := range b {
		if c == '\n' {
			f.lines = append(f.lines, i+1)
		}
	}
	return f
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
	from := min(start-f.lines[line], len(text))
	to := min(max(end, start)-f.lines[line], len(text))
	return diag.Place{
		Path:  f.Path,
		Line:  line + 1,
		Col:   utf8.RuneCountInString(text[:from]) + 1,
		Width: max(1, utf8.RuneCountInString(text[from:max(from, to)])),
		Text:  text,
	}
}

// line returns the text of a line (from 0) without its end.
func (f *File) line(i int) string {
	end := len(f.Bytes)
	if i+1 < len(f.lines) {
		end = f.lines[i+1] - 1
	}
	return strings.TrimSuffix(string(f.Bytes[f.lines[i]:end]), "\r")
}

// offset returns the byte at a line and column, both from 1, the column
// counted in characters.
func (f *File) offset(line, col int) int {
	if line < 1 || line > len(f.lines) {
		return len(f.Bytes)
	}
	at := f.lines[line-1]
	for ; col > 1 && at < len(f.Bytes) && f.Bytes[at] != '\n'; col-- {
		_, size := utf8.DecodeRune(f.Bytes[at:])
		at += size
	}
	return at
}

// bom reports whether the file starts with a byte-order mark.
func (f *File) bom() bool { return bytes.HasPrefix(f.Bytes, []byte("\xef\xbb\xbf")) }
