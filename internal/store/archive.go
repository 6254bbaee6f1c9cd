package store

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// Names within a backup and within the folder of tanks.
const (
	DatabaseFile = "tanks.sqlite"
	PhotoDir     = "photos"
)

// Backup writes the database, as it stands at one moment, and all photos into one zip archive, while others write. Photos that are taken
// away meanwhile are left out.
func Backup(ctx context.Context, s Store, a Album, w io.Writer) error {
	z := zip.NewWriter(w)
	part, err := z.Create(DatabaseFile)
	if err != nil {
		return err
	}
	if err := s.Dump(ctx, part); err != nil {
		return err
	}
	err = filepath.WalkDir(a.Dir, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		b, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		part, err := z.CreateHeader(&zip.FileHeader{Name: PhotoDir + "/" + d.Name(), Method: zip.Store}) // JPEG does not get smaller
		if err != nil {
			return err
		}
		_, err = part.Write(b)
		return err
	})
	return errors.Join(err, z.Close())
}

var photoName = regexp.MustCompile(`^` + PhotoDir + `/([0-9a-f]{64}(\.thumb)?\.jpg)$`)

// Restore unpacks a backup into a folder that has no tanks yet. The database is renamed in last, so that a restore that broke off leaves
// no half of one.
func Restore(r io.ReaderAt, size int64, dir string) error {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return fmt.Errorf("this is no backup of tanks: %w", err)
	}
	to := filepath.Join(dir, DatabaseFile)
	if _, err := os.Stat(to); err == nil {
		return fmt.Errorf("%s holds tanks already; restore into another folder, or move it away first", dir)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	album := Album{filepath.Join(dir, PhotoDir)}
	var database *zip.File
	for _, f := range z.File {
		if f.Name == DatabaseFile {
			database = f
			continue
		}
		m := photoName.FindStringSubmatch(f.Name)
		if m == nil {
			return fmt.Errorf("the backup holds %q, which is none of ours; nothing more was restored", f.Name)
		}
		b, err := read(f, MostPhotoBytes)
		if err != nil {
			return err
		}
		if err := album.write(m[1], b); err != nil {
			return err
		}
	}
	if database == nil {
		return fmt.Errorf("the backup holds no %s; it is none of ours", DatabaseFile)
	}
	in, err := database.Open()
	if err != nil {
		return err
	}
	defer in.Close() //nolint:errcheck // read only
	out, err := os.CreateTemp(dir, ".restore-*")
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in) //nolint:gosec // the owner's own file
	err = errors.Join(err, out.Sync(), out.Close())
	if err != nil {
		os.Remove(out.Name())
		return fmt.Errorf("the backup is damaged: %w", err)
	}
	return os.Rename(out.Name(), to)
}

// read unpacks a file of at most so many bytes.
func read(f *zip.File, most int64) ([]byte, error) {
	in, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer in.Close() //nolint:errcheck // read only
	b, err := io.ReadAll(io.LimitReader(in, most+1))
	if err != nil {
		return nil, fmt.Errorf("%s in the archive is damaged: %w", f.Name, err)
	}
	if int64(len(b)) > most {
		return nil, fmt.Errorf("%s in the archive has more than %d MB", f.Name, most>>20)
	}
	return b, nil
}
