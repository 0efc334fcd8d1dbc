# Builds the pages into the program: each file of runner/pages/ and Debian's Chart.js becomes a row {name, bytes} of
# embedded_pages.inc, as a raw string.
find_file(CHART_JS chart.min.js PATHS /usr/share/javascript/chart.js /usr/share/nodejs/chart.js/dist NO_DEFAULT_PATH)
if(NOT CHART_JS)
  message(FATAL_ERROR "chart.min.js is not there: install libjs-chart.js, or set CHART_JS to the file")
endif()

function(isoseam_embedded_page rows name file)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${file})
  file(READ ${file} bytes)
  string(FIND "${bytes}" ")isoseam_page\"" closing)
  if(NOT closing EQUAL -1)
    message(FATAL_ERROR "${file} holds the sign that ends a raw string")
  endif()
  set(${rows} "${${rows}}{\"${name}\", R\"isoseam_page(${bytes})isoseam_page\"},\n" PARENT_SCOPE)
endfunction()

file(GLOB page_sources CONFIGURE_DEPENDS pages/*.html pages/*.js pages/*.css pages/*.svg)
set(page_rows "")
foreach(page IN LISTS page_sources)
  get_filename_component(page_name ${page} NAME)
  isoseam_embedded_page(page_rows ${page_name} ${page})
endforeach()
isoseam_embedded_page(page_rows chart.js ${CHART_JS})

# Written anew only where it changed, or every configuring would compile it again.
set(page_table ${CMAKE_CURRENT_BINARY_DIR}/pages/embedded_pages.inc)
set(page_rows_before "")
if(EXISTS ${page_table})
  file(READ ${page_table} page_rows_before)
endif()
if(NOT page_rows STREQUAL page_rows_before)
  file(WRITE ${page_table} "${page_rows}")
endif()
