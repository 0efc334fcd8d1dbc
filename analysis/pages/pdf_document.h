#pragma once
// A document as PDF for paper and archive: A4, page numbers, an outline, and the structure that a screen
// reader needs (headings, paragraphs, lists, tables with header cells, figures with words for them). Headings
// stay with what follows; a table that goes on over a page repeats its header. Figures are vectors.
//
// Same document, same bytes, on one machine; another version of Cairo, Pango, librsvg or the fonts may set
// otherwise. Throws MachineError where the machine cannot.

#include <string>

#include "analysis/pages/document.h"

namespace isoseam {

std::string pdf_document(const PageDocument& document, const DrawSvg& draw);

}  // namespace isoseam
