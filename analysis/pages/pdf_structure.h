#pragma once
// What Cairo's PDFs lack, for those who hear a document above all.

#include <string>
#include <vector>

#include "analysis/pages/document.h"

namespace isoseam {

// The same PDF with its language and its date, with its title where a reader shows the file's name, with the
// descriptions of its figures as their alternate texts (in the order of the document), and with scopes for
// the header cells of tables. `pdf` is one that pdf_canvas.h made of the document.
std::string completed(const std::string& pdf, const PageDocument& document);

}  // namespace isoseam
