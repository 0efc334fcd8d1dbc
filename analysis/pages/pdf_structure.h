#pragma once
// This header adds what Cairo's PDFs lack, above all for people who hear a document.

#include <string>
#include <vector>

#include "analysis/pages/document.h"

namespace isoseam {

// Gives the same PDF with its language and date. A reader program then shows its title instead of the file's
// name, its figures have their descriptions as alternate texts (in the order of the document), and the header
// cells of its tables have scopes. `pdf` is the PDF that pdf_canvas.h made of the document.
std::string completed(const std::string& pdf, const PageDocument& document);

}  // namespace isoseam
