package learn

// normally stands for the table without causes where a row's cause is named.
const normally = ""

// addRow adds outcome weights to a row and drops what became empty.
func (c *Counts) addRow(key string, outcomes []string, cause string, by RowCounts) {
	if by.Jobs == 0 {
		return
	}
	t, row := c.row(key, outcomes, cause)
	for j, w := range by.Weights {
		row.Weights[j] += w
	}
	row.Jobs += by.Jobs
	c.putRow(key, t, cause, row)
}

// row returns a table and a row of it, new ones where there are none.
func (c *Counts) row(key string, outcomes []string, cause string) (*TableCounts, RowCounts) {
	t := c.Tables[key]
	if t == nil {
		t = &TableCounts{Outcomes: outcomes, Rows: make(map[string]RowCounts)}
		c.Tables[key] = t
	}
	row := t.Normally
	if cause != normally {
		row = t.Rows[cause]
	}
	if row.Weights == nil {
		row.Weights = make([]float64, len(outcomes))
	}
	return t, row
}

// putRow puts a row back into its table, or drops what became empty.
func (c *Counts) putRow(key string, t *TableCounts, cause string, row RowCounts) {
	switch {
	case row.Jobs == 0 && cause == normally:
		t.Normally = RowCounts{}
	case row.Jobs == 0:
		delete(t.Rows, cause)
	case cause == normally:
		t.Normally = row
	default:
		t.Rows[cause] = row
	}
	if t.Normally.Jobs == 0 && len(t.Rows) == 0 {
		delete(c.Tables, key)
	}
}
