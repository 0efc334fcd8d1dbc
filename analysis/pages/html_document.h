#pragma once
// A document as one page of HTML that is well-formed XML too and asks for nothing from outside: no address,
// no script, no font. For a screen reader it has landmarks, one first heading, headings in order, headers of
// rows and columns, and words for each figure; it reads in the dark, on a narrow screen and on paper.

#include <string>

#include "analysis/pages/document.h"

namespace isoseam {

std::string html_document(const PageDocument& document, const DrawSvg& draw);

}  // namespace isoseam
