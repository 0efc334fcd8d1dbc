#include "runner/web/json_answers.h"

#include <fmt/format.h>

#include <algorithm>

#include "runner/web/secrets.h"

namespace isoseam {

WebResponse json_response(int status, std::string json) {
    return {.status = status, .content_type = "application/json", .body = std::move(json)};
}

WebResponse error_response(int status, std::string_view error) {
    return json_response(status, fmt::format("{{\"error\":\"{}\"}}", error));
}

WebResponse not_allowed(const char* allow) {
    WebResponse response = error_response(405, "not_allowed");
    response.allow = allow;
    return response;
}

WebResponse no_content() {
    return {.status = 204, .content_type = "", .body = ""};
}

std::optional<std::string> below_secret(std::string_view path, std::string_view folder,
                                        std::string_view secret) {
    const std::string_view rest = path.substr(folder.size());
    const std::size_t slash = std::min(rest.find('/'), rest.size());
    return same_secret(rest.substr(0, slash), secret) ? std::optional<std::string>(rest.substr(slash))
                                                      : std::nullopt;
}

}  // namespace isoseam
