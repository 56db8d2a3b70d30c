package engine

import (
	"errors"

	"wend/lang/diag"
	"wend/lang/source"
)

// asDiagnostic turns an error of ours into a diagnostic without a place.
func asDiagnostic(err error) diag.Diagnostic {
	var fault *diag.Fault
	if errors.As(err, &fault) {
		return fault.At(source.Span{})
	}
	return diag.New("wend-fault", source.Span{}, diag.Args{"reason": err.Error()})
}

// Faults gives an error as the list that it is, or as a list of one.
func Faults(err error) diag.List {
	var list diag.List
	if errors.As(err, &list) {
		return list
	}
	return diag.List{asDiagnostic(err)}
}
