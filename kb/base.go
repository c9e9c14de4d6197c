package kb

// Base is the authored knowledge of a shop, merged from all files of a folder.
// Field names in YAML and JSON are those of the `json` tags; the `kb` tags say
// what a value must satisfy and drive the loader and the JSON Schema alike.
type Base struct {
	Schema     int         `json:"schema" kb:"required,min=1,max=1" doc:"version of the file format: 1"`
	Settings   Settings    `json:"settings" doc:"numbers that hold for the whole base"`
	Families   []Family    `json:"families,omitempty" doc:"kinds of equipment that fail alike"`
	Components []Component `json:"components,omitempty" doc:"parts of the equipment that can fail"`
	States     []State     `json:"states,omitempty" doc:"how the equipment stands"`
	Symptoms   []Symptom   `json:"symptoms,omitempty" doc:"what a customer reports or anyone sees"`
	Checks     []Check     `json:"checks,omitempty" doc:"what a technician does to learn something"`
	Causes     []Cause     `json:"causes,omitempty" doc:"components in a failure mode"`
	Fixes      []Fix       `json:"fixes,omitempty" doc:"what cures a cause"`
	Parts      []Part      `json:"parts,omitempty" doc:"stocked items"`
	Holds      []Hold      `json:"holds,omitempty" doc:"safety rules that keep checks back"`
	Synonyms   [][]string  `json:"synonyms,omitempty" doc:"groups of terms that mean the same"`

	index  lookup
	loaded loaded
}

// Settings are the numbers that hold for a whole base. Shares and chances are
// in [0,1], strengths in jobs, minutes in minutes.
type Settings struct {
	Strength          float64 `json:"strength" kb:"min=0" doc:"how many jobs the starting shares are worth"`
	TableStrength     float64 `json:"table_strength" kb:"min=0" doc:"how many jobs a starting outcome table is worth"`
	Unlisted          float64 `json:"unlisted" kb:"min=0,max=1" doc:"starting share of jobs whose cause is not in the base"`
	SecondFault       float64 `json:"second_fault" kb:"min=0,max=1" doc:"starting share of jobs with a second, independent cause"`
	EscalationMinutes float64 `json:"escalation_minutes" kb:"min=0" doc:"what it costs when nothing listed cured it"`
	StockStrength     float64 `json:"stock_strength" kb:"min=0" doc:"how many periods the expected demand of a part is worth"`
	Floor             float64 `json:"floor" kb:"min=0,max=0.1" doc:"least probability of an outcome; 0 switches it off"`
	HalfLifeYears     float64 `json:"half_life_years" kb:"min=0" doc:"age at which a closed job counts half; 0 means never less"`
	MinutesStrength   float64 `json:"minutes_strength" kb:"min=0" doc:"how many timed jobs the starting minutes of a check or fix are worth"`
	CallbackDays      float64 `json:"callback_days" kb:"min=0" doc:"how many days after its closing a job that comes back takes its count back"`

	origin origin
}

// DefaultSettings are the settings of a base that names none.
func DefaultSettings() Settings {
	return Settings{Strength: 30, TableStrength: 8, Unlisted: 0.04, SecondFault: 0.05,
		EscalationMinutes: 150, StockStrength: 3, Floor: 0.0001, HalfLifeYears: 3,
		MinutesStrength: 5, CallbackDays: 30}
}

// Family is a kind of equipment that fails alike.
type Family struct {
	ID       string   `json:"id" kb:"required,id"`
	Name     string   `json:"name" kb:"required"`
	Was      []string `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this family"`
	Fuel     string   `json:"fuel,omitempty"`
	Cautions []string `json:"cautions,omitempty" doc:"shown with everything that is to be done on this equipment"`
	Basis    Bases    `json:"basis,omitempty"`

	origin origin
}

// Component is a part of the equipment that can fail.
type Component struct {
	ID       string   `json:"id" kb:"required,id"`
	Name     string   `json:"name" kb:"required"`
	Families []string `json:"families" kb:"required,ref=families"`

	origin origin
}

// State is one way in which the equipment can stand, such as power on or off.
// A job starts at the first value; Minutes holds every change that is possible
// under the key "from>to".
type State struct {
	ID       string             `json:"id" kb:"required,id"`
	Name     string             `json:"name,omitempty"`
	Was      []string           `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this state"`
	Values   []string           `json:"values" kb:"required,items=2" doc:"the first value is how a job starts"`
	Minutes  map[string]float64 `json:"minutes" kb:"required,min=0" doc:"minutes of each possible change, as from>to"`
	Cautions map[string]string  `json:"cautions,omitempty" doc:"what to mind when going to a value"`
	Basis    Bases              `json:"basis,omitempty"`

	origin origin
}

// Symptom is what a customer reports or anyone sees; its outcomes are always
// "no" (normal) and "yes".
type Symptom struct {
	ID       string   `json:"id" kb:"required,id"`
	Name     string   `json:"name" kb:"required"`
	Was      []string `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this symptom"`
	Families []string `json:"families" kb:"required,ref=families"`
	Phrases  []string `json:"phrases,omitempty" doc:"how people say it; searched"`
	Ask      string   `json:"ask,omitempty" doc:"the question put to a customer"`
	Minutes  float64  `json:"minutes" kb:"required,min=0.01"`
	Cautions []string `json:"cautions,omitempty"`
	Normally Table    `json:"normally" kb:"required" doc:"chances when no listed cause bears on it"`
	If       Rows     `json:"if,omitempty" doc:"chances given that cause alone"`
	Basis    Bases    `json:"basis,omitempty"`

	origin origin
}

// Check is something a technician does to learn something.
type Check struct {
	ID       string            `json:"id" kb:"required,id"`
	Name     string            `json:"name" kb:"required"`
	Was      []string          `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this check"`
	Families []string          `json:"families" kb:"required,ref=families"`
	Minutes  float64           `json:"minutes" kb:"required,min=0.01" doc:"working minutes without changes of state"`
	State    map[string]string `json:"state,omitempty" doc:"how the equipment must stand"`
	Starts   int               `json:"starts,omitempty" kb:"min=0" doc:"burner starts it causes; counted by holds"`
	Tools    []string          `json:"tools,omitempty"`
	Skill    string            `json:"skill,omitempty" kb:"enum=anyone|technician|licensed"`
	How      []string          `json:"how,omitempty" doc:"the steps"`
	Cautions []string          `json:"cautions,omitempty"`
	Basis    Bases             `json:"basis,omitempty"`
	Reading  *Reading          `json:"reading,omitempty" doc:"the number this check yields"`
	Outcomes []Outcome         `json:"outcomes" kb:"required,items=2" doc:"the first is normal, then ever further from it"`
	Normally Table             `json:"normally" kb:"required" doc:"chances when no listed cause bears on it"`
	If       Rows              `json:"if,omitempty" doc:"chances given that cause alone"`

	origin origin
}

// Reading describes the number that a check yields. Min and Max bound what is
// physically possible; a value outside is refused.
type Reading struct {
	Unit      string            `json:"unit" kb:"required"`
	Tolerance Tolerance         `json:"tolerance,omitzero" doc:"plus or minus, 95 %, absolute or like 2%"`
	Min       *float64          `json:"min,omitempty" doc:"least possible reading"`
	Max       *float64          `json:"max,omitempty" doc:"greatest possible reading"`
	Inputs    map[string]string `json:"inputs,omitempty" doc:"named inputs and their units when the reading is worked out"`
	Value     string            `json:"value,omitempty" doc:"formula over the inputs"`
}

// Outcome is one result of a check. From and To bound the readings that give
// it, lower bound exclusive and upper bound inclusive; nil means unbounded.
type Outcome struct {
	ID   string   `json:"id" kb:"required,id"`
	Name string   `json:"name" kb:"required"`
	Was  []string `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this outcome"`
	From *float64 `json:"from,omitempty"`
	To   *float64 `json:"to,omitempty"`
}

// Cause is a component in a failure mode.
type Cause struct {
	ID        string             `json:"id" kb:"required,id"`
	Name      string             `json:"name" kb:"required"`
	Was       []string           `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this cause"`
	Component string             `json:"component,omitempty" kb:"ref=components"`
	Mode      string             `json:"mode,omitempty" doc:"failure mode"`
	Note      string             `json:"note,omitempty"`
	Share     map[string]float64 `json:"share" kb:"required,min=0,ref=families" doc:"relative weight in each family"`
	LeadsTo   map[string]float64 `json:"leads_to,omitempty" kb:"min=0,max=1,ref=causes" doc:"chance that it brings the effect along"`
	Fix       string             `json:"fix" kb:"required,ref=fixes"`
	Basis     Bases              `json:"basis,omitempty"`

	origin origin
}

// Fix is what cures a cause.
type Fix struct {
	ID       string            `json:"id" kb:"required,id"`
	Name     string            `json:"name" kb:"required"`
	Was      []string          `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this fix"`
	Minutes  float64           `json:"minutes" kb:"required,min=0.01"`
	State    map[string]string `json:"state,omitempty"`
	Parts    []PartUse         `json:"parts,omitempty"`
	Cures    float64           `json:"cures" kb:"required,min=0,max=1" doc:"chance that it holds when the cause was right"`
	Tools    []string          `json:"tools,omitempty"`
	Skill    string            `json:"skill,omitempty" kb:"enum=anyone|technician|licensed"`
	Proof    string            `json:"proof,omitempty" kb:"ref=checks" doc:"the check that proves operation"`
	How      []string          `json:"how,omitempty"`
	Cautions []string          `json:"cautions,omitempty"`
	Basis    Bases             `json:"basis,omitempty"`

	origin origin
}

// PartUse is a part that a fix may take: Qty pieces with the given Chance, on
// equipment of the named families only, or of all when none is named. Of those
// of a fix with the same word in OneOf one is used at most, as of several sizes.
type PartUse struct {
	Part     string   `json:"part" kb:"required,ref=parts"`
	Qty      float64  `json:"qty" kb:"required,min=0"`
	Chance   float64  `json:"chance" kb:"required,min=0,max=1"`
	Families []string `json:"families,omitempty" kb:"ref=families" doc:"the families it is for; all when left out"`
	OneOf    string   `json:"one_of,omitempty" kb:"id" doc:"a word that parts of the fix share of which one is used at most, as of several sizes"`
}

// Part is a stocked item.
type Part struct {
	ID         string   `json:"id" kb:"required,id"`
	Name       string   `json:"name" kb:"required"`
	Was        []string `json:"was,omitempty" kb:"id" doc:"former ids; jobs that name one of them are read as naming this part"`
	Spec       string   `json:"spec,omitempty"`
	UnitCost   float64  `json:"unit_cost,omitempty" kb:"min=0"`
	Pack       int      `json:"pack,omitempty" kb:"min=1"`
	LeadDays   float64  `json:"lead_days,omitempty" kb:"min=0"`
	LeadDaysSD float64  `json:"lead_days_sd,omitempty" kb:"min=0"`
	Critical   bool     `json:"critical,omitempty"`
	Supplier   string   `json:"supplier,omitempty" kb:"id" doc:"whom it is ordered from, as the shop calls them"`
	MinOrder   int      `json:"min_order,omitempty" kb:"min=1" doc:"least pieces in one order"`
	Slots      float64  `json:"slots,omitempty" kb:"min=0.01" doc:"room that a piece takes in a truck; 1 when left out"`
	// SupersededBy makes the number an old one of another part: whoever names it
	// means that part, and its stock and history are that part's.
	SupersededBy string   `json:"superseded_by,omitempty" kb:"ref=parts" doc:"the part that replaces it and has its stock and history"`
	Alternates   []string `json:"alternates,omitempty" kb:"ref=parts" doc:"parts that will do in its place"`
	Basis        Bases    `json:"basis,omitempty"`

	origin origin
}

// Hold is a safety rule that keeps checks back until something is done.
type Hold struct {
	ID        string    `json:"id" kb:"required,id"`
	Families  []string  `json:"families" kb:"required,ref=families"`
	When      Trigger   `json:"when" kb:"required"`
	KeepsBack KeepsBack `json:"keeps_back" kb:"required" doc:"starting, all, or a list of check ids"`
	Until     Clearance `json:"until" kb:"required" doc:"the finding that ends it"`
	// StillCounts tells that ending the hold changed the equipment (the room was
	// aired, the oil taken out), so that the finding which began it stays
	// evidence where the same check, done again, ends it.
	StillCounts bool     `json:"still_counts,omitempty" doc:"the finding that began it stays evidence once the same check ended it"`
	Says        string   `json:"says" kb:"required" doc:"shown while it holds"`
	Cautions    []string `json:"cautions,omitempty"`
	Basis       Bases    `json:"basis,omitempty"`

	origin origin
}

// Trigger says when a hold begins: at a number of burner starts since it was
// last cleared, or at a finding (any outcome when Outcome is empty).
type Trigger struct {
	Starts  int    `json:"starts,omitempty" kb:"min=0"`
	Symptom string `json:"symptom,omitempty" kb:"ref=symptoms"`
	Check   string `json:"check,omitempty" kb:"ref=checks"`
	Outcome string `json:"outcome,omitempty"`
}

// Clearance is the finding that ends a hold.
type Clearance struct {
	Check   string `json:"check" kb:"required,ref=checks"`
	Outcome string `json:"outcome" kb:"required"`
}
