package journal

import bolt "go.etcd.io/bbolt"

// letGoEvery is after how many pieces of work the pages of the file are let go.
const letGoEvery = 1024

// The work of one transaction in pieces: a look-up is one.
const (
	aLookUp = 1
	aChunk  = 64 // one chunk of a walk, or one writing transaction
)

// worked counts work, and now and then lets go of the pages of the file that
// were touched. The whole file is mapped into memory; without this a long import
// or a walk through all jobs would come to hold all of it, and push out what
// other programs need. What is needed again is read again, from the system's
// cache as a rule.
func (s *Store) worked(pieces int64) {
	if n := s.work.Add(pieces); n/letGoEvery == (n-pieces)/letGoEvery {
		return
	}
	// Within a transaction the file stays mapped where it is.
	_ = guarded(func() error {
		return s.db.View(func(tx *bolt.Tx) error {
			letGo(s.db.Info().Data, uintptr(tx.Size()))
			return nil
		})
	})
}
