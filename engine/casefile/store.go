package casefile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"rungwise/engine/source"
)

// ErrChanged tells that somebody else wrote the file since it was read.
var ErrChanged = errors.New("the file was changed by somebody else since it was read")

// ErrExists tells that a new file would have replaced one that is there.
var ErrExists = errors.New("there is a file of that name already")

// lockPatience is how long a write waits for another to finish.
const lockPatience = 5 * time.Second

// private is the mode of new files: they hold the health answers of people who
// may be minors.
const private fs.FileMode = 0o600

// Open opens a file to read. What is no file, such as a pipe, is not opened.
func Open(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil {
		if err := source.Readable(path, info); err != nil {
			return nil, err
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %s", path, plainly(err))
	}
	return f, nil
}

// Read reads a case or log file from disk.
func Read(path string) (*source.File, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return source.Read(path, f)
}

// Replace writes data in the place of the file in one step: whoever reads it
// finds the old text or the new, never half of one. The text before stays
// beside it with a `~`. If the file on disk is not the one that before was
// read from, nothing is written and the error is ErrChanged.
func Replace(before *source.File, data []byte) error {
	path, err := filepath.EvalSymlinks(before.Path)
	if err != nil {
		return fmt.Errorf("%s: %s", before.Path, plainly(err))
	}
	return locked(path, func() error {
		now, err := Read(path)
		if err != nil {
			return err
		}
		if now.Hash() != before.Hash() {
			return fmt.Errorf("%s: %w", before.Path, ErrChanged)
		}
		if err := write(path+"~", now.Bytes, private); err != nil {
			return err
		}
		mode := private
		if info, err := os.Stat(path); err == nil {
			mode = info.Mode().Perm()
		}
		return write(path, data, mode)
	})
}

// Create writes a new file in one step. It never replaces one: the error is then
// ErrExists. It needs no lock, since a file of a name can be made only once.
func Create(path string, data []byte) error {
	temp, err := prepare(path, data, private)
	if err != nil {
		return err
	}
	defer os.Remove(temp)
	err = os.Link(temp, path)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s: %w", path, ErrExists)
	}
	if err != nil { // no second names on this disk: look first, then rename
		if _, there := os.Lstat(path); there == nil {
			return fmt.Errorf("%s: %w", path, ErrExists)
		}
		err = os.Rename(temp, path)
	}
	if err != nil {
		return fmt.Errorf("%s: %s", path, plainly(err))
	}
	return syncDir(filepath.Dir(path))
}

// Put writes a file in one step, in the place of whatever is there.
func Put(path string, data []byte) error { return write(path, data, private) }

// locked runs do while this process alone may write the file. The lock stands
// on a file beside it, because the file itself is replaced.
func locked(path string, do func() error) error {
	dir, name := filepath.Split(path)
	lock := flock.New(filepath.Join(dir, "."+name+".lock"))
	ctx, cancel := context.WithTimeout(context.Background(), lockPatience)
	defer cancel()
	got, err := lock.TryLockContext(ctx, 20*time.Millisecond)
	if errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("%s: somebody else is writing it; try again in a moment", path)
	}
	if err != nil {
		return fmt.Errorf("%s: %s", path, plainly(err))
	}
	if !got {
		return fmt.Errorf("%s: could not be locked for writing", path)
	}
	defer lock.Unlock()
	sweep(dir, name)
	return do()
}

// sweep removes what an interrupted write left behind. It is called under the
// lock, so no write is under way.
func sweep(dir, name string) {
	left, err := filepath.Glob(filepath.Join(dir, "."+name+".new-*"))
	if err != nil {
		return // a name that makes a bad pattern has nothing to sweep
	}
	for _, path := range left {
		os.Remove(path)
	}
}

// write replaces a file: a new file beside it, flushed to disk, then renamed
// over it, then the folder flushed.
func write(path string, data []byte, mode fs.FileMode) error {
	temp, err := prepare(path, data, mode)
	if err != nil {
		return err
	}
	if err := os.Rename(temp, path); err != nil {
		os.Remove(temp)
		return fmt.Errorf("%s: %s", path, plainly(err))
	}
	return syncDir(filepath.Dir(path))
}

// prepare writes a file beside path, flushed to disk, and returns its name. On
// an error nothing is left.
func prepare(path string, data []byte, mode fs.FileMode) (temp string, err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".new-*")
	if err != nil {
		return "", fmt.Errorf("%s: %s", path, plainly(err))
	}
	for _, step := range []func() error{
		func() error { return f.Chmod(mode) },
		func() error { _, err := f.Write(data); return err },
		f.Sync,
		f.Close,
	} {
		if err := step(); err != nil {
			f.Close()
			os.Remove(f.Name())
			return "", fmt.Errorf("%s: %s", path, plainly(err))
		}
	}
	return f.Name(), nil
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}

// plainly puts an error of the file system into words without its call.
func plainly(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "you may not read or write it here"
	case errors.Is(err, fs.ErrExist):
		return "there is a file of that name already"
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return strings.TrimPrefix(err.Error(), "open ")
}
