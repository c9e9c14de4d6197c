// Package learn moves the base's starting numbers by what closed jobs showed.
//
// [Counts] hold what the jobs add up to: how often each cause was the root
// cause, how often the cause was not listed or a second one was there, and how
// often each outcome was seen given each cause. They are conjugate counts
// (Dirichlet and Beta; Gelman et al., Bayesian Data Analysis, 3rd ed., sections
// 2.4 and 3.4): the order of the jobs does not matter, a job can be taken back,
// and the counts of two shops add up. [Counts.Model] adds them to the authored
// numbers and gives the posterior means as a kb.Model for package ranker;
// [Counts.Priors] and [Counts.TableChanges] tell people what moved and how
// surely.
//
// # What a job counts
//
// A closed job weighs confidence x 2^(-age/half-life). Its root causes count to
// the family's shares. Its findings count to the outcome tables: to the row of
// its cause when that is the only confirmed one, to `normally` when none of its
// causes has a row there, else to nothing. A job that is closed as unlisted
// counts to no table, since the unlisted cause does not behave like `normally`.
// Of each symptom and check the last finding counts that still describes the
// equipment as the job found it: what was seen after a fix that treats one of
// the confirmed causes does not.
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
//   - Faults that nobody called the shop for are in no count.
//
// The package is pure: it keeps no files, clock or network. Counts belong to
// one goroutine.
package learn
