package kb

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// maxProblems is how many problems the loader reports, and how many errors and
// how many warnings lint does: more help nobody.
const maxProblems = 300

// Load reads every *.yaml and *.yml file in the root of fsys, in name order, and
// merges them into one base. Hidden files (with a leading dot) and folders are
// passed over. The problems of all files are reported, each with its place;
// when there are none the base keeps the form of the format, and Lint tells
// whether it makes sense. The base is never nil and holds what could be read.
func Load(fsys fs.FS) (*Base, Problems) {
	m := newMerger()
	names, err := yamlFiles(fsys)
	switch {
	case err != nil:
		m.problem(Problem{What: "the folder cannot be read: " + err.Error(), Do: "name a folder with the files of a base"})
	case len(names) == 0:
		m.problem(Problem{What: "there is no *.yaml file in the folder", Do: "name a folder with the files of a base"})
	}
	for _, name := range names {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			m.unreadable(Problem{Pos: Pos{File: name}, What: "the file cannot be read: " + err.Error(), Do: "see to its permissions"})
			continue
		}
		loadFile(m, name, data)
	}
	m.base.Reindex()
	return m.base, m.done()
}

// yamlFiles lists the files of a base in name order.
func yamlFiles(fsys fs.FS) ([]string, error) {
	list, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	var names []string
	for _, f := range list {
		ext := path.Ext(f.Name())
		if !f.IsDir() && !strings.HasPrefix(f.Name(), ".") && (ext == ".yaml" || ext == ".yml") {
			names = append(names, f.Name())
		}
	}
	return names, nil
}

// loadFile reads one file into the merger. A file may hold several documents,
// each of the form of a file; an empty one after a last --- is no harm.
func loadFile(m *merger, name string, data []byte) {
	docs, bad := parseYAML(name, data)
	if bad != nil {
		m.unreadable(*bad)
		return
	}
	empty := true
	for _, root := range docs {
		if root == nil || root.kind == nullNode {
			continue
		}
		empty = false
		b, problems := decodeDocument(name, root)
		m.add(b, name, root, problems)
	}
	if empty {
		m.problem(Problem{Pos: Pos{File: name}, What: "the file is empty",
			Do: fmt.Sprintf("begin it with the line: schema: %d; or remove it", SchemaVersion)})
	}
}
