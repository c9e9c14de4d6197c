// Package score tells how well past jobs were predicted.
//
// Every closed job is predicted at its opening from the jobs that were closed
// before that moment, and from nothing later, in one pass in the order of time
// (prequential: Dawid 1984, J. R. Statist. Soc. A 147:278-292): first from its
// complaint, then after each further finding. The truth is the root cause that
// it was closed with. [Run] makes the pass and returns a [Report]; what was
// learned by then is set against the authored base unlearned, which sees the
// same findings, and against the shares of the causes so far, which see none.
//
// [LogLoss], [Brier] and [Place] score one forecast; [Bins] collect forecasts
// of yes-or-no questions for a reliability diagram, the calibration error and
// the parts of the Brier score.
//
// # What it cannot show
//
//   - The truth is what somebody closed the job with. Who followed the advice
//     and guessed with it agrees with it. Jobs that came back are not scored,
//     and the share of jobs closed without certainty is told.
//   - What was found depends on what was advised at the time. A better order of
//     checks does not show here.
//   - Jobs are read as they stand now: a finding that was withdrawn since was
//     seen at the time and is not here.
//   - A job that was opened again teaches from its last closing only, and from
//     then on; what its undone closings taught in between is left out.
//
// The package is pure: it keeps no files, clock or network.
package score
