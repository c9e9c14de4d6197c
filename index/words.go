package index

import "strings"

// The tables below are everyday English and the writing habits of service
// tickets; they are common practice, no source. Trade terms are not here but in
// the base's synonyms.

// stopWords say nothing about a fault. The words no, not, on, off, too, up,
// down and out stay: "no heat" and "on" mean something.
var stopWords = wordSet(`
	a an the and or but so then than as of to at by for from with into onto
	i im ive id we weve you youve he hes she shes it its they theyre them my our your his her their
	me us this that thats these those there theres here who what which where
	is are was were be been being am has have had having do does did doing done
	will would shall should can could may might must
	just also please thanks hi hello sir maam ok okay well like kind sort sometime
	if because since while about around
`)

// negators turn what follows into its opposite; they are all read as "no".
var negators = wordSet(`
	no not never nor neither without cannot cant couldnt wont wouldnt dont doesnt didnt
	isnt arent wasnt werent hasnt havent hadnt aint shouldnt
`)

// faintWords stand in many complaints and tell little apart; they count a
// quarter of another word.
var faintWords = wordSet(`
	furnace heater unit machine equipment appliance system thing burner
	customer cust tenant owner says said states stated reports reported complains complaint complaining
	called calls today tonight yesterday morning mornings night nights evening week weekend month year winter
	house home shop garage building room place office barn warehouse basement
	right again really very quite pretty much lot bit some any few several couple little more
	seem seems seemed appear appears get gets getting got gotten keep keeps kept keeping
	go goes going try tries tried trying want wants let lets put make makes made making
	still even ever yet longer now only every each all whole other another same new old
	one ones time times thing things way day days back over
	think thought know see seen saw look looks looking hear heard notice noticed find found
	happen happens happened happening having suddenly after before when whenever during until once been own itself himself myself
	in need needs needed help problem problems issue issues trouble number
`)

// knownWords are never taken for a misspelling of a word of the trade.
var knownWords = wordSet(`
	house houses mouse horse kids wife husband guy guys man men baby family church school store farm
	first second third last next early late later before until during between through under against
	good bad worse worst best better nice great right wrong left side front top bottom inside outside
	big small large huge tall open closed shut hard soft fast slow quick new clean dirty
	think mean real sure true fine able ready done gone came come take took taken give gave bring
	phone call came here there what when where which while whose why how
	walk talk told tell call hold hope hand head heard hour feel felt eyes face door floor wall walls
	weather snow rain storm ice frozen freezing summer spring fall month
	money cost price bill bills paid pay buy bought sold
	dog cat car truck cars trucks boat tools tool bench
	never always often usually maybe perhaps almost nearly about enough
	noon later soon already both either none nobody somebody someone anyone everything anything something nothing
	ago half hours minutes seconds minute hour degrees
`)

// irregular maps a form to the word it belongs to where stemming does not get
// there, and the shorthand of tickets to the word it stands for.
var irregular = map[string]string{
	"quits": "quit", "quitting": "quit", "ran": "run", "lit": "light", "went": "go", "gone": "go",
	"goes": "go", "going": "go", "came": "come", "blew": "blow", "blown": "blow", "broke": "break", "broken": "break", "burnt": "burn",
	"stuck": "stick", "froze": "freeze", "frozen": "freeze", "smelt": "smell", "smelled": "smell",
	"smelly": "smell", "stunk": "stink", "stank": "stink", "kept": "keep", "shook": "shake", "shaken": "shake",
	"wore": "wear", "worn": "wear", "mice": "mouse", "died": "die", "dies": "die", "dying": "die", "dead": "dead",
	"left": "leave", "lost": "lose", "losing": "lose", "heard": "hear", "felt": "feel", "spun": "spin",
	"sprung": "spring", "fell": "fall", "fallen": "fall", "began": "begin", "begun": "begin",
	"took": "take", "taken": "take", "gave": "give", "rang": "ring", "ate": "eat", "bled": "bleed",
	"leakage": "leak", "leaky": "leak", "smoky": "smoke", "smokey": "smoke", "sooty": "soot", "sooted": "soot",
	"noisy": "noise", "oily": "oil", "windy": "wind", "gusty": "gust", "watery": "water", "rusty": "rust",
	"dirt": "dirty", "blockage": "block", "stoppage": "stop", "warmth": "warm", "heated": "heat",
	"ignition": "ignite", "combustion": "combustion", "vibration": "vibrate", "pulsation": "pulsate",
	"intermittently": "intermittent", "constantly": "constant", "continuously": "continuous",
	"continually": "continuous", "continual": "continuous", "nonstop": "constant", "loudly": "loud",

	"draught": "draft", "draughts": "draft", "draughty": "draft", "odour": "odor", "odours": "odor",
	"vapour": "vapor", "colour": "color", "centre": "center", "atomising": "atomizing", "grey": "gray",
	"neighbour": "neighbor", "litre": "liter", "gauge": "gage", "gauges": "gage",

	"sec": "second", "secs": "second", "min": "minute", "mins": "minute", "hr": "hour", "hrs": "hour",
	"temp": "temperature", "temps": "temperature", "htr": "heater", "htrs": "heater", "furn": "furnace",
	"brnr": "burner", "bnr": "burner", "mtr": "motor", "ign": "ignite", "xfmr": "transformer",
	"xformer": "transformer", "pwr": "power", "elec": "electric", "chk": "check",
	"cust": "customer", "intermit": "intermittent", "approx": "about", "thru": "through", "lite": "light",
	"lites": "light", "nite": "night", "lo": "low", "hi": "high", "vac": "vacuum", "v": "volt", "comp": "compressor",
}

// fixedStems are words that stemming would join with another of a different
// meaning: what ignites is not an igniter.
var fixedStems = map[string]string{"igniter": "igniter", "igniters": "igniter", "ignitor": "igniter", "ignitors": "igniter"}

// everyday are groups of plain words that customers use for the same thing. A
// base's own synonyms come first where both know a term.
var everyday = [][]string{
	{"stop", "quit", "die", "cut out", "cut off", "shut off", "shuts itself off", "shut down", "go out", "drop out", "conk out", "turn off",
		"switch off", "give up", "give out", "flame out"},
	{"start", "fire up", "kick on", "kick in", "come on", "turn on", "light up", "start up", "get going", "switch on", "cut in"},
	{"now and then", "once in a while", "from time to time", "every so often", "intermittent", "sporadic",
		"occasional", "occasionally", "random", "randomly", "sometimes", "every few days", "every couple days",
		"for no reason", "every couple of days", "every other day", "once or twice a week", "once a week", "twice a week", "few times a week"},
	{"all the time", "constantly", "continuous", "non-stop", "day and night", "around the clock", "always", "24/7", "forever"},
	{"smell", "odor", "stink", "reek", "stench", "whiff"},
	{"blink", "flash", "flashing light"},
	{"bang", "boom", "thump", "explode", "explosion", "whoof", "woof", "whoosh", "kaboom"},
	{"noise", "sound", "racket"},
	{"cold", "chilly", "freezing", "ice cold"},
	{"drip", "dribble"},
	{"puddle", "pool", "pooled"},
	{"push", "press", "hit"},
	{"bill doubled", "costs twice as much"},
	{"shake", "vibrate", "shudder", "tremble"},
	{"not work", "stop working", "quit working", "broke down", "out of order", "not function"},
	{"right away", "immediately", "at once", "instantly", "straight away", "almost immediately"},
	{"turn", "spin", "rotate"},
	{"keep up", "maintain temperature", "hold temperature"},
	{"use", "consume", "burn through", "go through"},
	{"too much", "a lot of", "lots of", "excessive"},
	{"not enough", "not much", "too little", "very little", "hardly any", "barely any", "insufficient"},
}

// unitWords are what a number may count; with its number such a word is a
// reading and not part of the complaint. Those of time say how soon something
// happens and are kept as words.
var unitWords = map[string]unitKind{
	"ohm": reading, "ohms": reading, "kohm": reading, "kohms": reading, "megohm": reading, "megohms": reading, "ω": reading, "kω": reading,
	"v": reading, "volt": reading, "volts": reading, "vac": reading, "vdc": reading, "mv": reading, "kv": reading, "millivolts": reading,
	"a": reading, "amp": reading, "amps": reading, "ma": reading, "ua": reading, "milliamps": reading, "microamps": reading,
	"w": reading, "watt": reading, "watts": reading, "hz": reading, "uf": reading, "mfd": reading,
	"psi": reading, "psig": reading, "inhg": reading, "inwc": reading, "iwc": reading, "wc": reading, "hg": reading, "bar": reading, "kpa": reading,
	"ppm": reading, "%": reading, "percent": reading, "pct": reading, "gph": reading, "gpm": reading, "cfm": reading, "btu": reading, "btus": reading,
	"f": reading, "c": reading, "deg": reading, "degs": reading, "degree": reading, "degrees": reading, "°": reading, "°f": reading, "°c": reading,
	"in": reading, "inch": reading, "inches": reading, "ft": reading, "foot": reading, "feet": reading, "mm": reading, "cm": reading,
	"gal": reading, "gals": reading, "gallon": reading, "gallons": reading, "quart": reading, "quarts": reading, "liters": reading,
	"x": count, "time": count, "times": count, "blink": count, "blinks": count, "flash": count, "flashes": count, "pulse": count, "pulses": count,
	"try": count, "tries": count, "attempt": count, "attempts": count, "start": count, "starts": count, "reset": count, "resets": count,
	"s": span, "sec": span, "secs": span, "second": span, "seconds": span, "m": span, "min": span, "mins": span, "minute": span, "minutes": span,
	"h": span, "hr": span, "hrs": span, "hour": span, "hours": span, "day": span, "days": span, "week": span, "weeks": span, "year": span, "years": span,
	"month": span, "months": span,
}

// unitForms are the units that people write in more ways than one, where
// stemming does not join them.
var unitForms = map[string]string{
	"v": "volt", "vac": "volt", "vdc": "volt", "a": "amp", "ω": "ohm", "w": "watt", "percent": "%", "pct": "%",
	"psig": "psi", "iwc": "inwc", "wc": "inwc", "hg": "inhg", "gals": "gallon", "gal": "gallon", "feet": "foot", "ft": "foot",
	"degs": "degree", "deg": "degree", "°": "degree", "f": "f", "c": "c", "mfd": "uf", "s": "second", "m": "minute", "h": "hour",
}

// unitKind says what a unit does with its number.
type unitKind int

const (
	reading unitKind = iota + 1 // a measured value: number and unit are set aside
	count                       // how often: the number is set aside, the word stays
	span                        // how long: the number is set aside, the word stays
)

// numberWords are numbers written out.
var numberWords = wordSet(`
	one two three four five six seven eight nine ten eleven twelve fifteen twenty thirty forty fifty sixty
	ninety hundred thousand half dozen
`)

// articles, and words that stand in their place, may stand between the words of
// a synonym.
var articles = wordSet(`a an the its my our your his her their this that`)

// particles end a verb of two words, which other words may part: "shuts itself
// off".
var particles = wordSet(`off on out up down in`)

// nothings negate what follows like a negator and say something themselves.
var nothings = wordSet(`nothing none nobody`)

// scopeEnds are words beyond which a "no" does not reach: "nothing happens when
// it is turned up".
var scopeEnds = wordSet(`when whenever after before until unless if because since during once except`)

// joiners begin a new clause of a complaint.
var joiners = wordSet(`and but then also plus however though although yet besides & + w with while`)

// wordSet turns a list of words into a set.
func wordSet(list string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(list) {
		set[w] = true
	}
	return set
}

// doingWords are what technicians write of what they did and found, whatever it
// was; they make no group of unlisted jobs.
var doingWords = wordSet(`
	found find replace replaced replacing remove removed removing removal clean cleaned cleaning clear cleared clearing
	fix fixed fixing repair repaired repairing adjust adjusted adjusting install installed installing
	check checked checking test tested testing inspect inspected reset tighten tightened tightening
	turn turned work works working worked fine good bad ok run runs running ran start starts started starting
	stop stops stopped come comes came back out off on up down in customer tech technician due cause caused causing
	unknown reason new part parts unit done
`)
