#include "runner/pages/page_files.h"

#include <algorithm>

#include "base/errors.h"

namespace isoseam {
namespace {

struct EmbeddedPage {
    std::string_view name;
    std::string_view bytes;
};

// Rows {name, bytes}, written by embed_pages.cmake.
constexpr EmbeddedPage kEmbedded[] = {
#include "embedded_pages.inc"
};

std::string_view content_type(std::string_view name) {
    const std::string_view ending = name.substr(name.rfind('.') + 1);
    if (ending == "html")
        return "text/html; charset=utf-8";
    if (ending == "js")
        return "text/javascript; charset=utf-8";
    if (ending == "css")
        return "text/css; charset=utf-8";
    ISOSEAM_CHECK(ending == "svg", name);
    return "image/svg+xml";
}

}  // namespace

const std::vector<PageFile>& page_files() {
    static const std::vector<PageFile> files = [] {
        std::vector<PageFile> made;
        for (const EmbeddedPage& page : kEmbedded)
            made.push_back({page.name, content_type(page.name), page.bytes});
        return made;
    }();
    return files;
}

const PageFile* page_file(std::string_view name) {
    const auto found = std::find_if(page_files().begin(), page_files().end(),
                                    [&](const PageFile& file) { return file.name == name; });
    return found == page_files().end() ? nullptr : &*found;
}

}  // namespace isoseam
