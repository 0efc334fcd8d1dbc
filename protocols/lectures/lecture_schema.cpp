#include "protocols/lectures/lecture_schema.h"

namespace isoseam {

std::string_view lecture_schema() {
    static constexpr std::string_view kSchema =
#include "lecture.schema.inc"
        ;
    return kSchema;
}

}  // namespace isoseam
