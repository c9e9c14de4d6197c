package score

// By holds something for each of the three ways to predict.
type By[T any] struct {
	Learned   T `json:"learned"`   // by what the shop had learned by then
	Authored  T `json:"authored"`  // by the base as authored, with the same findings
	Commonest T `json:"commonest"` // by the shares of the causes by then, without findings: always the commonest first
}

// eachBy makes something of each.
func eachBy[A, B any](x By[A], of func(A) B) By[B] {
	return By[B]{Learned: of(x.Learned), Authored: of(x.Authored), Commonest: of(x.Commonest)}
}

// bothBy makes something of each of two.
func bothBy[A, B, C any](x By[A], y By[B], of func(A, B) C) By[C] {
	return By[C]{Learned: of(x.Learned, y.Learned), Authored: of(x.Authored, y.Authored), Commonest: of(x.Commonest, y.Commonest)}
}
