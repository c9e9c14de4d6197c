// Package journal keeps everything a shop records: an append-only log of
// events in one file, and the jobs that follow from them.
//
// The idea: the events are the truth, all else is worked out from them. An
// [Event] is one act, such as a finding or a closing, with an id that no other
// event has. [Store.Append] writes events, updates the jobs they belong to and
// the look-ups in one transaction, and returns when the disk has them; an
// acknowledged event survives a killed process. Appending an event twice
// changes nothing, so that whoever is not sure simply appends again.
//
// A [kb.Job] is the fold of its events in the order of (at, id), whatever the
// order in which they arrived: see [FoldJob] for what each kind does. The file
// numbers events by arrival; that number is what [Store.EventsSince] counts by.
//
// Every record carries a checksum. [Store.Verify] compares everything with
// everything, [Store.Rebuild] works out anew what follows from the events, and
// [Salvage] saves what can be read of a damaged file. [Repair] picks the
// mildest of them that helps. FORMAT.md beside this file describes the bytes.
//
// The package does not look into the base: whether a check or a cause exists is
// for its callers to say.
package journal
