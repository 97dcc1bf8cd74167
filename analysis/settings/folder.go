package settings

import (
	"errors"
	"io/fs"
	"path/filepath"
)

// FileName is the name of a folder's file.
const FileName = ".fourfold.toml"

// Find gives the path and the text of the file for the scores of a folder: its own,
// or that of the nearest folder above it. read is asked for one path after another;
// its error fs.ErrNotExist means that there is none. Without a file the path is "".
// Files further up have no say.
func Find(folder string, read func(path string) ([]byte, error)) (path string, text []byte, err error) {
	for {
		path := filepath.Join(folder, FileName)
		text, err := read(path)
		if err == nil {
			return path, text, nil
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return path, nil, err
		}
		above := filepath.Dir(folder)
		if above == folder {
			return "", nil, nil
		}
		folder = above
	}
}
