package index

import (
	"errors"
	"fmt"
	"io/fs"

	"sootsayer/kb"
)

// Verify says what is wrong with the index in the folder dir, for a base that
// was loaded or reindexed; nothing is changed. It returns nil when the index is
// whole and fits, and when there is none yet or another process is replacing it.
func Verify(dir string, base *kb.Base) []string {
	const remedy = "it is built anew by the next search"
	x := &Index{analyzer: newAnalyzer(base.Synonyms), entries: entriesOf(base)}
	f := folder{dir: dir, key: keyOf(x.entries, base.Synonyms)}
	examined, err := f.examine()
	switch {
	case errors.Is(err, fs.ErrNotExist) || errors.Is(err, errReplaced):
		return nil
	case err != nil:
		return []string{fmt.Sprintf("search index %s: %v; %s", f.current(), err, remedy)}
	}
	opened, err := f.openCurrent(examined)
	if err == nil {
		err = x.use(opened)
	}
	if err == nil {
		err = x.Close()
	}
	if err != nil && !errors.Is(err, errReplaced) {
		return []string{fmt.Sprintf("search index %s: %v; delete the folder, %s", f.current(), err, remedy)}
	}
	return nil
}
