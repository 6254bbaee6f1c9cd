package web

import (
	"encoding/json"
	"littoral/internal/recipe"
	"littoral/internal/reckon"
	"littoral/internal/shelf"
	"math"
	"net/http"
	"strings"
	"testing"
)

// Every topic is asked with its examples, and answers as the command line does.
func TestEverySumAnswers(t *testing.T) {
	h := serve(t, false)
	var list SumList
	h.want(http.StatusOK, http.MethodGet, "/api/sums", nil, &list)
	if len(list.Sums) != len(reckon.Topics()) {
		t.Fatalf("%d sums of %d topics", len(list.Sums), len(reckon.Topics()))
	}
	for _, q := range list.Sums {
		ask := SumAsk{Values: map[string]string{}}
		for _, f := range q.Fields {
			if f.Own {
				t.Errorf("%s: %s is the value of a tank that nobody named", q.Topic, f.Column)
			}
			if f.Needed {
				ask.Values[f.Column] = f.Example
			}
		}
		if q.Salts {
			ask.Salts = []shelf.SumSalt{{Salt: "KNO3", Text: "5 g"}, {Salt: "MgSO4.7H2O", Text: "12"}, {Salt: "K2SO4", Text: ""}}
		}
		var a shelf.SumAnswer
		h.want(http.StatusOK, http.MethodPost, "/api/sums/topics/"+q.Topic, ask, &a)
		if a.Says == "" || len(a.Numbers) == 0 || a.About == "" || len(a.Given) == 0 || len(a.Why) > 2 {
			t.Errorf("%s answers %+v", q.Topic, a)
		}
	}
}

func TestSumsKeepToTheirNumbers(t *testing.T) {
	h := serve(t, false)
	var a shelf.SumAnswer
	h.want(http.StatusOK, http.MethodPost, "/api/sums/topics/co2", SumAsk{Values: map[string]string{"alkalinity_dkh": "4 dKH", "ph": "6,6", "temperature_c": "75 °F", "hardness_dgh": "6 dGH"}}, &a)
	if a.Numbers[0].Column != "co2_mg_l" || a.Numbers[0].Value < 30.1 || a.Numbers[0].Value > 36 || a.Caution == "" {
		t.Errorf("4 dKH at pH 6.6: %+v", a)
	}
	for _, c := range []struct {
		topic string
		ask   SumAsk
		says  string
	}{
		{"no2", SumAsk{}, "no topic"},
		{"co2", SumAsk{}, "missing"},
		{"co2", SumAsk{Values: map[string]string{"alkalinity_dkh": "4 bananas", "ph": "6"}}, "bananas"},
		{"co2", SumAsk{Values: map[string]string{"alkalinity": "4 dKH"}}, "no value called"},
		{"co2", SumAsk{Values: map[string]string{"alkalinity_dkh": "4 dKH", "ph": "66"}}, "outside"},
		{"co2", SumAsk{Values: map[string]string{"alkalinity_dkh": "4 dKH", "ph": "6"}, Salts: []shelf.SumSalt{{Salt: "KNO3", Text: "1"}}}, "takes no salts"},
		{"salts", SumAsk{Values: map[string]string{"volume_l": "100 L"}, Salts: []shelf.SumSalt{{Salt: "KNO4", Text: "1"}}}, "KNO4"},
	} {
		status, b, _ := h.ask(http.MethodPost, "/api/sums/topics/"+c.topic, c.ask)
		var p Problem
		if err := json.Unmarshal(b, &p); err != nil || status != http.StatusUnprocessableEntity || !strings.Contains(p.Detail, c.says) || p.Cure == "" {
			t.Errorf("%s %+v: %d %s", c.topic, c.ask, status, b)
		}
	}
}

func TestSumsByTable(t *testing.T) {
	h := serve(t, false)
	status, b, head := h.ask(http.MethodPost, "/api/sums/topics/ammonia/table", []byte("who,tan_mg_l,ph,temperature_c\ndesk,1,8,25\n"), "Content-Type", "text/csv")
	if status != http.StatusOK || !strings.HasPrefix(head.Get("Content-Type"), "text/csv") || !strings.HasPrefix(string(b), "who,tan_mg_l,ph,temperature_c,nh3_n_mg_l,fraction\ndesk,1,8,25,0.05") {
		t.Errorf("%d %s", status, b)
	}
	if status, b, _ = h.ask(http.MethodPost, "/api/sums/topics/ammonia/table", []byte("tan_mg_l,ph\n1,eight\n"), "Content-Type", "text/csv"); status != http.StatusUnprocessableEntity || !strings.Contains(string(b), "line 2, column ph") {
		t.Errorf("a row that is no number gave %d %s", status, b)
	}
}

// A tank's own values stand in the sums, the recipe begins from its tap, and nothing of it is a trace among what people did.
func TestSumsOfATank(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	var list SumList
	h.want(http.StatusOK, http.MethodGet, "/api/sums?day=20&tank="+id, nil, &list)
	for _, q := range list.Sums {
		own, ask := 0, SumAsk{Values: map[string]string{}}
		for _, f := range q.Fields {
			if f.Own {
				own++
			}
			ask.Values[f.Column] = f.Text
			if f.Needed && f.Text == "" {
				ask.Values[f.Column] = f.Example
			}
		}
		if own == 0 {
			t.Errorf("%s knows nothing of the tank", q.Topic)
		}
		h.want(http.StatusOK, http.MethodPost, "/api/sums/topics/"+q.Topic, ask, nil)
	}

	h.want(http.StatusOK, http.MethodGet, "/api/sums?day=20&units=US&tank="+id, nil, &list)
	for _, q := range list.Sums {
		for _, f := range q.Fields {
			if q.Topic == "heat" && (f.Column == "length_cm" && !strings.HasSuffix(f.Text, " in") || f.Column == "set_c" && !strings.HasSuffix(f.Text, "°F")) {
				t.Errorf("in US units %s is %q", f.Column, f.Text)
			}
		}
	}

	var start shelf.BatchStart
	h.want(http.StatusOK, http.MethodGet, "/api/sums/batch?tank="+id, nil, &start)
	if len(start.Tap) == 0 || len(start.Plan) == 0 || len(start.Salts) < 25 || len(start.Ask.Wants) != 2 || start.Ask.Volume == "" {
		t.Errorf("the recipe begins from %+v", start)
	}
	ask := start.Ask
	ask.Volume, ask.Wants = "200 L", []shelf.BatchWant{{Key: "GH", Value: "6"}, {Key: "KH", Value: "2-3"}, {Key: "K", Value: ""}, {Key: "Cl", Value: "0-20"}}
	var b shelf.Batch
	h.want(http.StatusOK, http.MethodPost, "/api/sums/batch?tank="+id, ask, &b)
	if b.Card.Litres != 200 || len(b.Card.Wishes) != 3 || math.Abs(b.Card.PureLitres+b.Card.TapLitres-200) > 1e-9 || len(b.Why) == 0 {
		t.Errorf("the recipe is %+v", b.Card)
	}
	for _, w := range b.Card.Wishes {
		if !w.Met {
			t.Errorf("%s is not met: %s", w.Key, w.Why)
		}
	}
	for _, s := range b.Card.Salts {
		if steps := s.Grams / 0.1; math.Abs(steps-math.Round(steps)) > 1e-6 {
			t.Errorf("%g g of %s cannot be weighed in steps of 0.1 g", s.Grams, s.Salt)
		}
	}
	ask.Sheet = "parameter;value;unit\nCalcium;80;mg/L\nMagnesium;10;mg/L\nHydrogencarbonat;250;mg/L\npH;7,6;\n"
	h.want(http.StatusOK, http.MethodPost, "/api/sums/batch", ask, &b)
	if len(b.Read) < 4 {
		t.Errorf("the analysis was read as %v", b.Read)
	}
	ask.Volume = "200 bananas"
	h.want(http.StatusUnprocessableEntity, http.MethodPost, "/api/sums/batch", ask, nil)

	var card recipe.StockCard
	h.want(http.StatusOK, http.MethodPost, "/api/sums/bottles", shelf.BottlesAsk{Doses: []shelf.SumSalt{{Salt: "KH2PO4", Text: "0.3 g"}, {Salt: "iron", Text: "0.02 g"}}, Bottle: "500 mL", Lasts: 20, Cold: "15 °C"}, &card)
	if len(card.Bottles) != 2 || len(card.Remarks) == 0 {
		t.Errorf("phosphate and iron stand in %+v", card)
	}

	var day shelf.Swing
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/swing?day=20", nil, &day)
	if day.Day != 20 || len(day.CO2) != 24 || len(day.Light) != 24 || day.PH[12] < 4 || day.Filter <= 0 || len(day.Why) != 2 {
		t.Errorf("day 20 is %+v", day)
	}
	var w shelf.Water
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/water", nil, &w)
	if len(w.Targets) < 6 || len(w.Alarms) != 5 || len(w.Start.Safe) != 2 || len(w.Heat.Sums) != 3 || w.Heat.HeaterKWh <= 0 || len(w.Stock.Doses) == 0 {
		t.Errorf("the water is %+v", w)
	}
	acts, err := h.db.Acts(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range acts {
		if strings.Contains(a.What, "/sums") {
			t.Errorf("a sum is kept as what somebody did: %s", a.What)
		}
	}
}
