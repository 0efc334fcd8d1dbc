#pragma once
// The files of the telephones' and the desks' pages, as they are built into the program. A request's path
// never becomes a file's name: what is not in this table is not there.

#include <string_view>
#include <vector>

namespace isoseam {

struct PageFile {
    std::string_view name;          // "class.js"; letters, '_' and '.'
    std::string_view content_type;  // with its charset
    std::string_view bytes;  // as in runner/pages/; a page's modules are one script; chart.js is Debian's
};

// Returns nullptr where there is no such file.
const PageFile* page_file(std::string_view name);

const std::vector<PageFile>& page_files();

}  // namespace isoseam
