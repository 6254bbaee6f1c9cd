package water

import (
	"math"
	"testing"
)

func TestCornerShare(t *testing.T) {
	clean, grown, loaded := CornerShare(6, 0.1, 0), CornerShare(4, 0.8, 28), CornerShare(1.7, 0.6, 77)
	if clean < 0.8 || clean > 0.92 {
		t.Errorf("six clean turnovers leave %g in the corner, the trade says a tenth to a fifth less than at the outlet", clean)
	}
	// 28 mg/L at the outlet and 12 in the far corner of a tank whose flow is half of new and whose diffuser is eleven weeks old.
	record(t, "CO2 in the far corner over that at the outlet, loaded filter and old diffuser", "common practice, no source", false, math.Abs(loaded-12.0/28), "", 0.1)
	if math.Abs(loaded-12.0/28) > 0.1 || !(clean > grown && grown > loaded) {
		t.Errorf("clean %g, grown %g, loaded %g", clean, grown, loaded)
	}
	if CornerShare(0, 0, 0) != 0 || CornerShare(1e9, 0, 0) < 0.99 || math.IsNaN(CornerShare(math.NaN(), math.NaN(), math.NaN())) {
		t.Error("the limits do not hold")
	}
}
