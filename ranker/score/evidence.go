package score

import "sootsayer/kb"

// moments divides what was recorded of a job: it returns how many acts are known
// at the complaint, and after each further finding or fix that did not cure. The
// complaint is everything before the first check and the first tried fix: the
// symptoms that the customer told of, and those that were asked for first.
func moments(acts []kb.Act) []int {
	var ends []int
	for i := range acts {
		a := &acts[i]
		told := a.State != nil || a.Finding != nil && a.Finding.Kind == kb.KindSymptom
		if len(ends) == 0 && !told {
			ends = append(ends, i)
		}
		if len(ends) > 0 && a.State == nil {
			ends = append(ends, i+1)
		}
	}
	if len(ends) == 0 {
		ends = append(ends, len(acts))
	}
	return ends
}

// nameOf names something that the base does not have: "check/ID", or of a check's
// outcome "outcome/CHECK=ID".
func nameOf(m kb.Missing) string {
	if m.Of != "" {
		return m.Kind + "/" + m.Of + "=" + m.ID
	}
	return m.Kind + "/" + m.ID
}
