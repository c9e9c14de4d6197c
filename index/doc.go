// Package index finds entries of a base by words and understands complaints.
//
// [Open] returns an [Index] over the symptoms, causes, checks, fixes and parts
// of a [kb.Base]. [Index.Search] and [JobIndex.Search] serve the `find` command;
// [Index.Understand] turns the complaint of `job open` into symptoms.
//
// The central idea: one analyzer of our own ([analyzer]) reads every text, when
// the index is built as well as when a person asks. It keeps the small words
// that carry a fault (no, not, on, off, up, down, too), joins forms of a word,
// knows the trade's synonyms from the base, marks what a "no" speaks about and
// sets readings such as "2400 ohms" aside. bleve keeps the resulting terms on
// disk and hands back postings; the scoring is ours, a few lines that can be
// read (score.go), because bleve's nested disjunctions multiply scores by how
// many of their clauses matched and so favour entries with many fields.
//
// The index is derived data. It lives in a folder that may be deleted at any
// time, its manifest tells whether it still fits the base and whether a bit of
// it has changed, and whatever goes wrong with the folder an index in memory
// takes its place: the index is never the reason a command fails.
//
// What a shop learned (phrases chosen for symptoms) stays out of the files and
// is weighed when a question is asked, so that learning never costs a rebuild.
//
// Past jobs have an index of their own, [JobIndex], which [Index.OpenJobs]
// brings up to date: its manifest names the journal and the last event it has
// seen. An update links bleve's segments into a new folder, adds the jobs that
// changed there and renames it into place, so that readers, other writers and a
// crash at any moment find a whole index. Typing errors in jobs are looked for
// when a question is asked; nothing is corrected when a job is indexed, because
// what a base does not know may be the very word that matters.
//
// [Grouper] reads the free text of jobs closed as unlisted and groups them by
// the words that stand out against all others.
//
// The package does not read the journal itself (see [JobSource]), does not rank
// causes and writes nothing but its own folders.
package index
