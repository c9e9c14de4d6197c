// Package learn moves the base's starting numbers by what closed jobs showed.
//
// [Counts] hold what the jobs add up to: how often each cause was the root
// cause, by family, by model and by heating season, how often the cause was not
// listed or a second one was there, what a cause brought along, how often each
// outcome was seen given each cause, whether a fix held, how long checks and
// fixes took, and how many pieces of a part they used. They are conjugate counts
// (Dirichlet, Beta and normal-inverse-gamma; Gelman et al., Bayesian Data
// Analysis, 3rd ed., sections 2.4, 3.3 and 3.4): the order of the jobs does not
// matter, a job can be taken back, and the counts of two shops add up.
// [Counts.Model] adds them to the authored numbers and gives the posterior means
// as a kb.Model for package ranker; [Counts.Priors], [Counts.TableChanges],
// [Counts.Changes] and [Counts.Pieces] tell people what moved and how surely.
//
// # What a job counts
//
// A closed job weighs confidence x 2^(-age/half-life).
//
//   - Its root causes count to the family's shares.
//   - Its findings count to the outcome tables: to the row of its cause when
//     that is the only confirmed one, to `normally` when none of its causes has
//     a row there, else to nothing. A job that is closed as unlisted counts to no
//     table, since the unlisted cause does not behave like `normally`. Of each
//     symptom and check the last finding counts that still describes the
//     equipment as the job found it: what was seen after a fix that treats one
//     of the confirmed causes does not.
//   - A job with a single root tries out everything that its causes may bring
//     along: what else the closing names came along, the rest did not.
//   - A fix that treats all that was there and did not end the trouble failed;
//     those done in the end held.
//   - Stated minutes count to checks, symptoms and fixes, and stated pieces to
//     fixes, by the job's age alone: they were seen, however sure the cause. The
//     minutes of a fix hold its proof of operation. They are working minutes, as
//     the base has them: changes of the equipment's state are no part of them.
//
// A job that came back within the window counts none of its causes and findings,
// but its fixes as failed ([Counts.AddCameBack]).
//
// # One expectation step
//
// Where a job leaves open which of several things it was, it counts to each of
// them by its chance, which is worked out once, from the authored numbers: which
// of several candidate causes it was, which of several causes brought an effect
// along, which of several fixes failed, or used a part. Going on until nothing
// moves any more, or starting from what was learned, would come nearer to the
// most likely numbers, but the order of the jobs would matter and none could be
// taken back. What it costs: the authored numbers go on to speak in such jobs.
//
// # Models
//
// A model's shares start from those of its family, which are worth the more jobs
// the more alike the family's models have been ([FitConcentration]), and are
// moved by the model's own jobs. Outcome tables, unlisted, second fault and the
// rest are the family's. A model that no closed job had has its family's shares.
//
// # What the counts cannot show
//
// Checks are done when they seem useful, so there are few findings of a check
// for causes that it does not bear on. The counts given the cause are right all
// the same, because which check is done depends on the earlier findings only,
// and those are independent of its outcome given the cause: what was not looked
// at is missing at random (Rubin 1976). What remains:
//
//   - A symptom that the customer brings up by himself is recorded because it
//     was there, and one that was not there goes unrecorded unless somebody
//     asked. Symptom tables drift towards "yes" unless "no" is recorded too.
//   - A person may choose a check because of something seen and not recorded.
//   - A check that is repeated because its result seemed odd counts with the
//     last result only, so odd results come out a little rarer than they are.
//   - The cause that a job is closed with was itself judged by the findings, so
//     tables come out a little surer than the truth; proof of operation and the
//     callback that takes a job's count back work against it.
//   - In a job with two independent causes both count as roots. A pair is never
//     the same cause twice, so pairs favour the rarer causes slightly.
//   - A technician may name the root only, and leave out what it brought along:
//     effects come out rarer than they are. An effect whose root was overlooked
//     counts as a root.
//   - A fix that did not last and whose customer called somebody else counts as
//     one that held.
//   - A fix that is tried is tried because the cause seemed likely; when the true
//     cause was another one, it says nothing of how well the fix holds, and the
//     closing decides which it was.
//   - Minutes are stated when somebody thinks of it, perhaps more often when a
//     thing took long.
//   - Faults that nobody called the shop for are in no count.
//
// The package is pure: it keeps no files, clock or network. Counts belong to
// one goroutine.
package learn
