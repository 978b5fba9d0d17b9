// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

namespace peepwright::test {

/// What in `document` breaks the JSON Schema, in words; nothing where it keeps to it.
inline std::string schema_errors(const nlohmann::json& document, std::string_view schema_text) {
  using valijson::adapters::NlohmannJsonAdapter;
  valijson::Schema schema;
  const nlohmann::json schema_document = nlohmann::json::parse(schema_text);
  valijson::SchemaParser().populateSchema(NlohmannJsonAdapter(schema_document), schema);
  valijson::ValidationResults results;
  if (valijson::Validator().validate(schema, NlohmannJsonAdapter(document), &results)) return {};
  std::string out;
  valijson::ValidationResults::Error error;
  while (results.popError(error)) {
    for (const std::string& part : error.context) out += part;
    out += ": " + error.description + "\n";
  }
  return out.empty() ? "invalid" : out;
}

}  // namespace peepwright::test
