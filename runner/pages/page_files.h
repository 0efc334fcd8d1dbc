#pragma once
// The files of the telephones' and the desks' pages, as they are built into the program. A request's path
// never becomes a file's name: what is not in this table is not there.

#include <string_view>
#include <vector>

namespace isoseam {

struct PageFile {
    std::string_view name;          // "class.js"; letters, '_' and '.'
    std::string_view content_type;  // with its charset
    // The bytes as in runner/pages/, except that the modules of a page are joined to one script. chart.js is
    // Debian's.
    std::string_view bytes;
};

// Returns nullptr where there is no such file.
const PageFile* page_file(std::string_view name);

const std::vector<PageFile>& page_files();

}  // namespace isoseam
