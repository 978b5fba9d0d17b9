// SPDX-License-Identifier: GPL-3.0-or-later
// qpdf asks which smart pointers its header shall offer: the standard ones.
#define POINTERHOLDER_TRANSITION 4
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"
#include "exporters/drawing/record.hpp"

namespace peepwright::drawing {

std::string finish_pdf(const std::string& cairo_pdf, const std::vector<Page>& pages) try {
  QPDF document;
  document.processMemoryFile("drawing", cairo_pdf.data(), cairo_pdf.size());

  // Viewers shrink to the printable area unless told not to.
  QPDFObjectHandle wishes = QPDFObjectHandle::newDictionary();
  wishes.replaceKey("/PrintScaling", QPDFObjectHandle::newName("/None"));
  wishes.replaceKey("/PickTrayByPDFSize", QPDFObjectHandle::newBool(true));
  wishes.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(true));
  document.getRoot().replaceKey("/ViewerPreferences", wishes);
  document.getRoot().replaceKey("/Lang", QPDFObjectHandle::newString("en"));

  std::size_t index = 0;
  for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(document).getAllPages()) {
    const PageSize size = pages.at(index++).size;
    const auto points = [](double mm) { return QPDFObjectHandle::newReal(number_text(Length::mm(mm).in() * 72, 6)); };
    QPDFObjectHandle box = QPDFObjectHandle::newArray();
    box.appendItem(QPDFObjectHandle::newInteger(0));
    box.appendItem(QPDFObjectHandle::newInteger(0));
    box.appendItem(points(size.width_mm));
    box.appendItem(points(size.height_mm));
    page.getObjectHandle().replaceKey("/MediaBox", box);
  }

  QPDFWriter writer(document);
  writer.setOutputMemory();
  writer.setDeterministicID(true);
  writer.write();
  const std::shared_ptr<Buffer> bytes = writer.getBufferSharedPointer();
  return std::string(reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize());
} catch (const std::exception& e) {
  throw Error(ErrorCode::internal, std::string("drawing: the PDF could not be finished [") + e.what() + "].");
}

}  // namespace peepwright::drawing
