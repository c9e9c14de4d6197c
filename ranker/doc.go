// Package ranker turns what is known of a job into probabilities of causes and
// says what to do next for the minutes it costs.
//
// An [Engine] is a family's model compiled for speed: every hypothesis (a set
// of causes present when the job began) with its prior, and for every symptom
// and check the hypotheses whose outcome table differs from 'normally'. It is
// made once by [New] and may be used by many goroutines. [Engine.Believe] folds
// a job's findings and tried fixes into a [Belief]; [Belief.Rank] orders the
// remaining checks by expected information per minute about what has to be
// done, says how many minutes each would save, and advises the next step.
//
// The package computes; it keeps no files, clock or network. It does not look
// more than one check ahead.
package ranker
