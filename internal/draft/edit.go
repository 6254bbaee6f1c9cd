package draft

// Edit is one change of a plan's text.
type Edit struct {
	Op    string `json:"op" enum:"set,add,remove,move,brush" doc:"set: one field of an item; add: a whole item; remove: an item; move: its order in the list; brush: shape the ground"`
	List  string `json:"list,omitempty" enum:"hardscape,plants,lamps,filter,views,marks,substrate/layers,substrate/caps," doc:"list of the plan; empty = the plan itself"`
	ID    string `json:"id,omitempty" maxLength:"80" doc:"of the item; layers and caps are named by their number in the list, from 1"`
	Field string `json:"field,omitempty" maxLength:"120" doc:"set: key, those of groups with a stroke, such as at, shape/boulder/length or, of the plan itself, tank/water-level"`
	Value any    `json:"value,omitempty" doc:"set: the field's new value, none = the field is taken out; add: the whole item; brush: the stroke. Numbers and lists are written as they are, lengths and angles as text with their unit, or as numbers in cm and degrees"`
	After string `json:"after,omitempty" maxLength:"80" doc:"add and move: id of the item that it comes after; empty = at the end for add, at the beginning for move"`
}

// Stroke is one pass of a brush over the ground.
type Stroke struct {
	At       [][2]float64 `json:"at_cm" doc:"the brush's way, in cm"`
	RadiusCM float64      `json:"radius_cm" doc:"half its width; its force falls off to nothing at the rim"`
	RaiseCM  float64      `json:"raise_cm,omitempty" doc:"how much its middle raises the ground; below 0 it lowers it"`
	Smooth   float64      `json:"smooth,omitempty" doc:"in place of raise: 0 to 1, how far it brings the ground to the mean around it"`
	LevelCM  *float64     `json:"level_cm,omitempty" doc:"in place of raise: height to which it brings the ground, as for a terrace"`
}
