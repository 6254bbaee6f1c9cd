package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"littoral/internal/catalog"
	"os"
	"path/filepath"
	"reflect"
)

// FileReader gives the bytes of a file that a plan names, by the name as written in the plan.
type FileReader func(name string) ([]byte, error)

// maxFileBytes bounds the files a plan names; the mesh reader has the same bound.
const maxFileBytes = 256 << 20

// houseFile is looked for beside the plan and in so many folders above it.
const (
	houseFile   = "house.yaml"
	houseLevels = 3
)

// Load reads a plan and every file it names, and the house file beside it or in one of the three folders above. What is
// wrong is returned all at once as Problems; warnings are kept on the plan. It is the only function here that opens files.
func Load(path string) (*Plan, error) {
	src, err := readFile(path, MaxBytes)
	if err != nil {
		return nil, Problems{{File: path, Message: err.Error(), Cure: "check the name and the folder", Severity: SeverityError}}
	}
	dir := filepath.Dir(path)
	house, err := findHouse(dir)
	if err != nil {
		return nil, err
	}
	return read(src, path, func(name string) ([]byte, error) {
		if filepath.IsAbs(name) {
			return readFile(name, maxFileBytes)
		}
		return readFile(filepath.Join(dir, filepath.FromSlash(name)), maxFileBytes)
	}, house, nil)
}

// Parse reads a plan from bytes. Path is what error texts call the file; files gives the files that the plan names and may
// be nil when it names none. The house is DefaultHouse. Errors are Problems.
func Parse(src []byte, path string, files FileReader) (*Plan, error) {
	return read(src, path, files, DefaultHouse(), nil)
}

// ParseIn is Parse in a studio's house.
func ParseIn(house *House, src []byte, path string, files FileReader) (*Plan, error) {
	return read(src, path, files, house, nil)
}

// ParseAgain is ParseIn for another text of a plan that was read before from the same files: meshes are not read anew, and are the same in memory.
func ParseAgain(before *Plan, house *House, src []byte, path string, files FileReader) (*Plan, error) {
	var meshes map[string]readMesh
	if before.Source != nil {
		meshes = before.Source.meshes
	}
	return read(src, path, files, house, meshes)
}

// ParseHouse reads a house file over the defaults: what it does not name stays as DefaultHouse has it. Errors are Problems.
func ParseHouse(src []byte, path string) (*House, error) {
	h := DefaultHouse()
	d := newDecoder(path, src)
	if body := d.syntax(); body != nil {
		d.value(body, reflect.ValueOf(h).Elem(), "", field{})
		d.checkHouse(h)
	}
	if d.failed() {
		return nil, d.sorted(SeverityError)
	}
	return h, nil
}

// readFile reads a regular file of at most so many bytes. Its errors are whole phrases.
func readFile(path string, most int64) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case os.IsNotExist(err):
		return nil, fmt.Errorf("there is no such file")
	case err != nil:
		return nil, fmt.Errorf("the file cannot be opened (%w)", err)
	case info.IsDir():
		return nil, fmt.Errorf("this is a folder, not a file")
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("this is not an ordinary file")
	case info.Size() > most:
		return nil, fmt.Errorf("the file has %d MB, more than the %d MB that are read", info.Size()>>20, most>>20)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the file cannot be read (%w)", err)
	}
	return b, nil
}

func findHouse(dir string) (*House, error) {
	if abs, err := filepath.Abs(dir); err == nil { // else only the folders that the name itself tells are looked through
		dir = abs
	}
	for range houseLevels + 1 {
		name := filepath.Join(dir, houseFile)
		if _, err := os.Stat(name); err == nil {
			src, err := readFile(name, MaxBytes)
			if err != nil {
				return nil, Problems{{File: name, Message: err.Error(), Severity: SeverityError}}
			}
			return ParseHouse(src, name)
		}
		up := filepath.Dir(dir)
		if up == dir {
			break
		}
		dir = up
	}
	return DefaultHouse(), nil
}

func read(src []byte, path string, files FileReader, house *House, before map[string]readMesh) (*Plan, error) {
	sum := sha256.New()
	sum.Write(src)
	d := newDecoder(path, src)
	p := &Plan{House: house, Cat: catalog.Default()}
	body := d.syntax()
	meshes := map[string]readMesh{}
	if body != nil {
		d.value(body, reflect.ValueOf(p).Elem(), "", field{required: true})
		c := &checker{decoder: d, p: p, files: files, sum: sum, before: before, read: meshes}
		if len(d.bad) == 0 || len(d.pos) > 1 { // a file that is no mapping at all has been reported
			c.all()
		}
		if !d.failed() {
			c.resolve()
		}
	}
	if d.failed() {
		return nil, d.sorted(SeverityError)
	}
	p.Warnings = d.sorted(SeverityWarning)
	p.Source = &Source{Path: path, Bytes: src, Pos: d.pos, Tree: body, Sum: hex.EncodeToString(sum.Sum(nil)), meshes: meshes}
	return p, nil
}
