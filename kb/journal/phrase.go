package journal

import (
	"encoding/json"
	"strings"
	"time"
)

// Phrase is how often people's words were taken to mean a symptom. It counts
// phrase.chosen events, so that neither order nor place of arrival matters.
type Phrase struct {
	Family    string    `json:"family,omitempty"`
	Symptom   string    `json:"symptom"`
	Phrase    string    `json:"phrase"` // in lower case, words parted by single spaces
	Chosen    int       `json:"chosen"`
	Withdrawn int       `json:"withdrawn,omitempty"` // choices taken back, one each
	Last      time.Time `json:"last"`                // newest event on it
}

// Times returns how often the phrase stands chosen.
func (p Phrase) Times() int { return max(0, p.Chosen-p.Withdrawn) }

// phraseOf is the phrase of one phrase.chosen event.
func phraseOf(e Event) Phrase {
	p := Phrase{Family: e.Family, Symptom: e.Symptom, Last: e.At,
		Phrase: strings.Join(strings.Fields(strings.ToLower(e.Phrase)), " ")}
	if e.Withdrawn {
		p.Withdrawn = 1
	} else {
		p.Chosen = 1
	}
	return p
}

// plus adds the counts of the same phrase.
func (p Phrase) plus(q Phrase) Phrase {
	p.Chosen += q.Chosen
	p.Withdrawn += q.Withdrawn
	if q.Last.After(p.Last) {
		p.Last = q.Last
	}
	return p
}

// key is the key of a phrase: family, symptom and phrase with zero bytes
// between them.
func (p Phrase) key() []byte {
	return []byte(p.Family + "\x00" + p.Symptom + "\x00" + p.Phrase)
}

// foldPhrases counts the phrases of any events, by key.
func foldPhrases(counts map[string]Phrase, e Event) {
	if e.Kind != KindPhraseChosen {
		return
	}
	p := phraseOf(e)
	key := string(p.key())
	if old, ok := counts[key]; ok {
		p = old.plus(p)
	}
	counts[key] = p
}

func encodePhrase(p Phrase) ([]byte, error) {
	body, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	return encodeRecord(body), nil
}

func decodePhrase(rec []byte) (Phrase, error) {
	body, err := decodeRecord(rec)
	if err != nil {
		return Phrase{}, err
	}
	var p Phrase
	err = json.Unmarshal(body, &p)
	return p, err
}
