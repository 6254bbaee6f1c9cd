package draft

// Refusal is why an edit was not made, with what to do about it. Nothing has changed then.
type Refusal struct{ Message, Cure string }

func (r *Refusal) Error() string { return r.Message }

func refuse(message, cure string) error { return &Refusal{message, cure} }
