package ranker

// saved returns saved(t) = R(e) - [minutes(t) + sum_o P(o|e) R(e, o)] in
// minutes, R(e, o) with the equipment as t leaves it. It needs outcomeP
// and mixed as gain left them for t.
func (s *scratch) saved(b *Belief, t int, minutes, now float64) float64 {
	e := b.engine
	tab := &e.tables[t]
	copy(s.standing, b.standing)
	for i, v := range e.model.Observables[t].State {
		if v >= 0 {
			s.standing[i] = v
		}
	}
	if e.groups.single {
		return s.savedSingle(b, tab, minutes, now)
	}
	s.fixTimes(e, s.standing)
	cost := minutes
	for j := range tab.k {
		if p := s.outcomeP[j]; p > 0 {
			s.groupsGiven(tab, j, p)
			r, _ := s.cureMinutes(e, s.groupGiven)
			cost += p * r
		}
	}
	return now - cost
}

// groupsGiven fills s.groupGiven with P(Y | outcome j), p being P(outcome j).
func (s *scratch) groupsGiven(tab *table, j int, p float64) {
	n := tab.normal[j] / p
	for g, mass := range s.groupMass {
		s.groupGiven[g] = mass * n
	}
	for r, q := range tab.p[j] {
		f := q / p
		for _, g := range tab.rowGroups[tab.rowStart[r]:tab.rowStart[r+1]] {
			s.groupGiven[g] = s.groupMass[g] * f
		}
	}
	for i := range tab.mixed {
		s.groupGiven[tab.mixed[i].group] = s.mixed[i*tab.stride+j] / p
	}
}

// cureMinutes returns R for the group probabilities given, with the fixes'
// minutes as fixTimes left them, and how many fixes are done before the shop
// escalates. It leaves the order in s.order.
func (s *scratch) cureMinutes(e *Engine, group []float64) (r float64, k int) {
	clear(s.fixGiven)
	pairs := e.groups.pairs[:len(group)]
	for g, p := range group {
		pair := pairs[g]
		switch {
		case pair[0] < 0: // escalation, or many fixes
			for _, f := range e.groups.fixes[g] {
				s.fixGiven[f] += p
			}
		case pair[0] == pair[1]:
			s.fixGiven[pair[0]] += p
		default:
			s.fixGiven[pair[0]] += p
			s.fixGiven[pair[1]] += p
		}
	}
	for f, p := range s.fixGiven {
		s.ratio[f] = p / s.minutes[f]
	}
	repairOrder(s.order, s.ratio, e.fixID)
	for i, f := range s.order {
		s.place[f] = int32(i)
	}
	clear(s.curedAt)
	for g, p := range group {
		if pair := pairs[g]; pair[0] >= 0 {
			s.curedAt[max(s.place[pair[0]], s.place[pair[1]])] += p
			continue
		}
		last := int32(-1)
		for _, f := range e.groups.fixes[g] {
			last = max(last, s.place[f])
		}
		if last >= 0 {
			s.curedAt[last] += p
		}
	}
	return repairMinutes(s.order, s.minutes, s.curedAt, e.model.Escalation)
}

// fixTimes fills s.minutes with m(f) for the equipment as it stands.
func (s *scratch) fixTimes(e *Engine, standing []int) {
	for f := range e.model.Fixes {
		s.minutes[f] = fixMinutes(e.model, &e.model.Fixes[f], standing, s.spare)
	}
}
