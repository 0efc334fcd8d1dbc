# Builds the pages into the program: each HTML, CSS and SVG file of runner/pages/, a script for each page and Debian's
# Chart.js become rows {name, bytes} of embedded_pages.inc, as raw strings.
find_file(CHART_JS chart.min.js PATHS /usr/share/javascript/chart.js /usr/share/nodejs/chart.js/dist NO_DEFAULT_PATH)
if(NOT CHART_JS)
  message(FATAL_ERROR "chart.min.js is not there: install libjs-chart.js, or set CHART_JS to the file")
endif()

# Of several files, which are modules then, it makes one script: without the words import and export.
function(isoseam_embedded_page rows name)
  set(bytes "")
  foreach(file IN LISTS ARGN)
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${file})
    file(READ ${file} part)
    if(ARGC GREATER 3)
      string(REGEX REPLACE "\nimport [^\n]*" "" part "${part}")
      string(REPLACE "\nexport " "\n" part "${part}")
    endif()
    string(APPEND bytes "${part}")
  endforeach()
  string(FIND "${bytes}" ")isoseam_page\"" closing)
  if(NOT closing EQUAL -1)
    message(FATAL_ERROR "${name} holds the sign that ends a raw string")
  endif()
  set(${rows} "${${rows}}{\"${name}\", R\"isoseam_page(${bytes})isoseam_page\"},\n" PARENT_SCOPE)
endfunction()

# A page's modules as one script, since a class that loads a page needs as few requests as can be. What is used stands
# before what uses it; a name stands once in all modules of a page.
function(isoseam_embedded_script rows name)
  list(TRANSFORM ARGN PREPEND ${CMAKE_CURRENT_SOURCE_DIR}/pages/)
  list(TRANSFORM ARGN APPEND .js)
  isoseam_embedded_page(${rows} ${name} ${ARGN})
  set(${rows} "${${rows}}" PARENT_SCOPE)
endfunction()

file(GLOB page_sources CONFIGURE_DEPENDS pages/*.html pages/*.css pages/*.svg)
set(page_rows "")
foreach(page IN LISTS page_sources)
  get_filename_component(page_name ${page} NAME)
  isoseam_embedded_page(page_rows ${page_name} ${page})
endforeach()
isoseam_embedded_script(page_rows class.js elements join_view link outbox scene_view class)
isoseam_embedded_script(page_rows desk.js elements desk_parts charts link lecture_desk session_desk desk)
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
