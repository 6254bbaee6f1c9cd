package web

import (
	"cmp"
	"context"
	"littoral/internal/tongue"
	"net/http"
	"reflect"
	"strings"
	"sync"

	"github.com/danielgtaylor/huma/v2"
)

// wishOf reads in which language and units a request wants its sentences: from the query where addresses of pictures and links carry it
// (?lang=de&units=US), else from the heads Accept-Language and Littoral-Units.
func wishOf(r *http.Request) tongue.Wish {
	var w tongue.Wish
	q := r.URL.Query()
	switch lang := q.Get("lang"); lang {
	case tongue.English, tongue.German:
		w.Language = lang
	default:
		w.Language = tongue.Accept(r.Header.Get("Accept-Language"))
	}
	switch units := cmp.Or(q.Get("units"), r.Header.Get("Littoral-Units")); units {
	case "metric", "US":
		w.Units = units
	}
	return w
}

type wishKey struct{}

func wish(ctx context.Context) tongue.Wish {
	w, _ := ctx.Value(wishKey{}).(tongue.Wish)
	return w
}

// spoken puts the wish of a request where answers find it. Whatever keeps answers has to tell languages apart.
func spoken(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/api/") {
			w.Header().Add("Vary", "Accept-Language, Littoral-Units")
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), wishKey{}, wishOf(r))))
	})
}

// retell is where an answer's sentences are told in the reader's language and units: the fields that carry the tag say.
func retell(ctx huma.Context, _ string, v any) (any, error) { return told(wish(ctx.Context()), v), nil }

func told(w tongue.Wish, v any) any {
	if v == nil || w.Plain() {
		return v
	}
	if p, ok := v.(*Problem); ok {
		return toldProblem(w, p)
	}
	out, changed := toldIn(w, reflect.ValueOf(v))
	if !changed {
		return v
	}
	return out.Interface()
}

// toldProblem retells an error; the parts that come from the library carry no tags.
func toldProblem(w tongue.Wish, p *Problem) *Problem {
	c := *p
	c.Title, c.Detail, c.Cure = w.Tell(p.Title), w.Tell(p.Detail), w.Tell(p.Cure)
	c.Errors = nil
	for _, e := range p.Errors {
		d := *e
		d.Message = w.Tell(e.Message)
		c.Errors = append(c.Errors, &d)
	}
	c.Problems = nil
	for i := range p.Problems {
		x := p.Problems[i]
		x.Message, x.Cure = w.Tell(x.Message), w.Tell(x.Cure)
		c.Problems = append(c.Problems, x)
	}
	return &c
}

// toldIn returns a value with its sentences retold. What is kept in memory is shared by many answers: a value that changes is copied first.
func toldIn(w tongue.Wish, v reflect.Value) (reflect.Value, bool) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() || !says(v.Type()) {
			return v, false
		}
		in, changed := toldIn(w, v.Elem())
		if !changed {
			return v, false
		}
		if v.Kind() == reflect.Interface {
			return in, true
		}
		out := reflect.New(v.Type().Elem())
		out.Elem().Set(in)
		return out, true
	case reflect.Struct:
		return toldStruct(w, v)
	case reflect.Slice:
		if !says(v.Type()) {
			return v, false
		}
		out, all := v, false
		for i := range v.Len() {
			in, changed := toldIn(w, v.Index(i))
			if !changed {
				continue
			}
			if !all {
				out, all = reflect.MakeSlice(v.Type(), v.Len(), v.Len()), true
				reflect.Copy(out, v)
			}
			out.Index(i).Set(in)
		}
		return out, all
	default:
		return v, false
	}
}

func toldStruct(w tongue.Wish, v reflect.Value) (reflect.Value, bool) {
	if !says(v.Type()) {
		return v, false
	}
	out, all := v, false
	set := func(i int, x reflect.Value) {
		if !all {
			out, all = reflect.New(v.Type()).Elem(), true
			out.Set(v)
		}
		out.Field(i).Set(x)
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if !f.IsExported() {
			continue
		}
		how, tagged := f.Tag.Lookup("say")
		if !tagged {
			if in, changed := toldIn(w, v.Field(i)); changed {
				set(i, in)
			}
			continue
		}
		switch x := v.Field(i).Interface().(type) {
		case string:
			if how == "sentence" && !strings.Contains(x, " ") {
				continue // a key that the pages have words of their own for
			}
			if s := w.Tell(x); s != x {
				set(i, reflect.ValueOf(s))
			}
		case []string:
			list := make([]string, len(x))
			for k := range x {
				list[k] = w.Tell(x[k])
			}
			set(i, reflect.ValueOf(list))
		}
	}
	return out, all
}

// saying remembers of each type whether sentences are in it, so that long rows of numbers are not looked through.
var saying sync.Map

func says(t reflect.Type) bool {
	if known, ok := saying.Load(t); ok {
		return known.(bool) //nolint:forcetypeassert // only bools are put in
	}
	yes := searched(t, map[reflect.Type]bool{})
	saying.Store(t, yes)
	return yes
}

// searched looks for sentences in a type, and not again in one that holds itself.
func searched(t reflect.Type, seen map[reflect.Type]bool) bool {
	if seen[t] {
		return false
	}
	seen[t] = true
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return searched(t.Elem(), seen)
	case reflect.Interface:
		return true
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			if _, tagged := f.Tag.Lookup("say"); f.IsExported() && (tagged || searched(f.Type, seen)) {
				return true
			}
		}
	default:
	}
	return false
}
