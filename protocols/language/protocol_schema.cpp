#include "protocols/language/protocol_schema.h"

namespace isoseam {

std::string_view protocol_schema() {
    static constexpr std::string_view kSchema =
#include "protocol.schema.inc"
        ;
    return kSchema;
}

}  // namespace isoseam
