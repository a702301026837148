# SPDX-License-Identifier: GPL-3.0-or-later
# Debian packages: configure with -DCMAKE_INSTALL_PREFIX=/usr, build, then `cpack` in the build folder. Three of them:
# earshot (the program), libearshot0.1 (the shared library), libearshot-dev (headers, static library, API reference).
set(abi ${PROJECT_VERSION_MAJOR}.${PROJECT_VERSION_MINOR})

# The same email everywhere; set it to yours when you hand packages on.
set(EARSHOT_MAINTAINER "earshot maintainers <earshot@localhost.localdomain>" CACHE STRING "Maintainer of the packages")

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME earshot)
set(CPACK_PACKAGE_CONTACT "${EARSHOT_MAINTAINER}")
set(CPACK_PACKAGING_INSTALL_PREFIX ${CMAKE_INSTALL_PREFIX})
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_RELEASE 1)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
find_program(SHLIBDEPS dpkg-shlibdeps)
if(SHLIBDEPS)
  set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
endif()
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
  OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME earshot)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION hamradio) # where Debian keeps programs about radio links
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION
"will the receiver of a wireless alarm system hear its devices?
Reads a floor plan from a text file and tells for each device of a wireless
alarm system the margin at 433 or 868 MHz, whether the receiver hears it
directly, through a repeater or only by wire, and why, wall by wall.

An estimate never replaces the walk test on site.")

if(EARSHOT_SHARED)
  list(APPEND CPACK_COMPONENTS_ALL library development)
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME libearshot${abi})
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libs)
  set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS ON)
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_CONTROL_EXTRA ${PROJECT_SOURCE_DIR}/.cmake/triggers)
  set(CPACK_COMPONENT_LIBRARY_DESCRIPTION
"radio links of a wireless alarm system from a floor plan, library
Reads floor plans in the language of earshot, computes the margin of each
link wall by wall, and decides what is heard directly, what needs a repeater
and what a wire.

This package holds the shared library.")

  set(development_needs "libearshot${abi} (= ${PROJECT_VERSION}-${CPACK_DEBIAN_PACKAGE_RELEASE})" libgsl-dev libjansson-dev)
  if(EARSHOT_HAVE_GLPK)
    list(APPEND development_needs libglpk-dev)
  endif()
  if(EARSHOT_HAVE_PICTURES)
    list(APPEND development_needs libcairo2-dev libpango1.0-dev)
  endif()
  list(JOIN development_needs ", " CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS)
  set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libearshot-dev)
  set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
  set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SHLIBDEPS OFF)
  set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION
"radio links of a wireless alarm system from a floor plan, for development
Reads floor plans in the language of earshot, computes the margin of each
link wall by wall, and decides what is heard directly, what needs a repeater
and what a wire.

This package holds the headers, the static library and the files by which
CMake and pkg-config find it.")
endif()

# ---- what Debian wants in each package's folder of documents ----

set(made ${PROJECT_BINARY_DIR}/package)
string(TIMESTAMP now "%a, %d %b %Y %H:%M:%S +0000" UTC) # SOURCE_DATE_EPOCH, where it is set
configure_file(.cmake/copyright.in ${made}/copyright @ONLY)
configure_file(.cmake/changelog.in ${made}/changelog.Debian @ONLY)
if(GZIP)
  execute_process(COMMAND ${GZIP} -9nkf ${made}/changelog.Debian)
endif()
if(GZIP)
  execute_process(COMMAND ${GZIP} -9nc ${PROJECT_SOURCE_DIR}/docs/changes.md OUTPUT_FILE ${made}/changelog.gz)
  install(FILES ${made}/changelog.gz DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/earshot)
endif()
foreach(component program library development)
  string(TOUPPER ${component} upper)
  if(CPACK_DEBIAN_${upper}_PACKAGE_NAME AND GZIP)
    install(FILES ${made}/copyright ${made}/changelog.Debian.gz
      DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/${CPACK_DEBIAN_${upper}_PACKAGE_NAME} COMPONENT ${component})
  endif()
endforeach()

include(CPack)
