#pragma once
// Writes a document as PDF for paper and archive: A4, with page numbers, an outline, and the structure that a
// screen reader needs (headings, paragraphs, lists, tables with header cells, figures with words for them). A
// heading stays with what follows it, and a table that continues on the next page repeats its header. Figures
// are vectors.
//
// The same document gives the same bytes on one machine; another version of Cairo, Pango, librsvg or the
// fonts may set it differently. Throws a MachineError if the machine cannot write the document.

#include <string>

#include "analysis/pages/document.h"

namespace isoseam {

std::string pdf_document(const PageDocument& document, const DrawSvg& draw);

}  // namespace isoseam
