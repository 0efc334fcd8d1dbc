#pragma once
// Writes a document as one page of HTML that is well-formed XML too and loads nothing from outside: no
// address, no script, no font. For a screen reader the page has landmarks, one first heading, headings in
// order, headers of rows and columns, and words for each figure. It can be read in the dark, on a narrow
// screen and on paper.

#include <string>

#include "analysis/pages/document.h"

namespace isoseam {

std::string html_document(const PageDocument& document, const DrawSvg& draw);

}  // namespace isoseam
