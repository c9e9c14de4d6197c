package index

import (
	"errors"
	"fmt"
	"io/fs"

	"sootsayer/kb"
)

// Verify says what is wrong with the index in the folder dir, for a base that
// was loaded or reindexed; nothing is changed. Current tells whether it can be
// used as it is: not when there is none yet, when it is of another base or
// program, or when something is wrong. The next search builds it anew then.
func Verify(dir string, base *kb.Base) (current bool, wrong []string) {
	const remedy = "it is built anew by the next search"
	x := &Index{analyzer: newAnalyzer(base.Synonyms), entries: entriesOf(base)}
	f := x.folder(dir, base.Synonyms, Options{})
	examined, err := f.examine()
	switch {
	case errors.Is(err, fs.ErrNotExist) || errors.Is(err, errReplaced) || errors.Is(err, errOutdated):
		return false, nil
	case err != nil:
		return false, []string{fmt.Sprintf("search index %s: %v; %s", f.current(), err, remedy)}
	}
	opened, err := f.openCurrent(examined)
	if err == nil {
		err = x.use(opened)
	}
	if err == nil {
		err = x.Close()
	}
	if err != nil && !errors.Is(err, errReplaced) {
		return false, []string{fmt.Sprintf("search index %s: %v; delete the folder, %s", f.current(), err, remedy)}
	}
	return err == nil, nil
}
