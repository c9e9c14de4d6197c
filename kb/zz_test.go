package kb
import "testing"
func dumpNode(n *node) any {
	if n == nil { return "<nodoc>" }
	switch n.kind {
	case mapNode:
		var out []any
		for i := range n.keys { out = append(out, []any{n.keys[i].text, dumpNode(n.items[i])}) }
		return out
	case listNode:
		out := []any{"LIST"}
		for _, i := range n.items { out = append(out, dumpNode(i)) }
		return out
	case nullNode: return nil
	}
	return n.text
}
func TestZZ(t *testing.T) {
	for _, s := range []string{
"a: 1\n---\n# c\n---\nb: 2\n", "---\n...\nb: 2\n", "a: 1\n...\n...\nb: 2\n", "---\n# c\n", "...\na: 1\n","a: 1\n---\n...\n---\nb: 2\n", "--- # x\n---\nb: 2\n", "---\n\n---\nb: 2\n", "a: 1\n--- \n--- \nb: 1", "--- |\n x\n---\nb: 1\n", "---\n- a\n---\nb: 2\n", "--- ~\n--- b\n","a: 1\n... # c\n---\nb: 2\n",
	} {
		docs, p := parseYAML("f", []byte(s))
		if p != nil { t.Logf("%-40q ERR %v", s, p.Error()); continue }
		out := []any{}
		for _, d := range docs { out = append(out, dumpNode(d)) }
		t.Logf("%-40q %q", s, out)
	}
}
