# SPDX-License-Identifier: GPL-3.0-or-later
# What `cmake --install` puts where. Components: program, library (shared), development.
include(CMakePackageConfigHelpers)

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/earshot)
set(doc_dir ${CMAKE_INSTALL_DOCDIR})

set_target_properties(earshot PROPERTIES EXPORT_NAME static)
install(TARGETS earshot EXPORT earshotStatic ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT development)
install(EXPORT earshotStatic NAMESPACE earshot:: DESTINATION ${package_dir} COMPONENT development)
if(EARSHOT_SHARED)
  set_target_properties(earshot-shared PROPERTIES EXPORT_NAME earshot)
  install(TARGETS earshot-shared EXPORT earshotShared
    LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT library NAMELINK_COMPONENT development)
  install(EXPORT earshotShared NAMESPACE earshot:: DESTINATION ${package_dir} COMPONENT development)
endif()
install(DIRECTORY include/earshot DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} COMPONENT development
  FILES_MATCHING PATTERN "*.h")

# ---- for those who build with it ----

configure_package_config_file(.cmake/earshotConfig.cmake.in ${PROJECT_BINARY_DIR}/earshotConfig.cmake
  INSTALL_DESTINATION ${package_dir} NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/earshotConfigVersion.cmake
  COMPATIBILITY SameMinorVersion) # as the shared library's name
install(FILES ${PROJECT_BINARY_DIR}/earshotConfig.cmake ${PROJECT_BINARY_DIR}/earshotConfigVersion.cmake
  DESTINATION ${package_dir} COMPONENT development)

set(pc_requires "gsl jansson")
set(pc_libs "-lm ${CMAKE_THREAD_LIBS_INIT}")
if(EARSHOT_HAVE_PICTURES)
  string(APPEND pc_requires " pangocairo cairo cairo-svg cairo-pdf cairo-png")
endif()
if(EARSHOT_HAVE_GLPK)
  string(APPEND pc_libs " -lglpk")
endif()
if(OpenMP_C_FOUND)
  string(APPEND pc_libs " ${OpenMP_C_FLAGS}")
endif()
# Paths from the .pc file on, so that the installed tree can be moved.
set(prefix /earshot-prefix)
file(RELATIVE_PATH pc_prefix ${prefix}/${CMAKE_INSTALL_LIBDIR}/pkgconfig ${prefix})
configure_file(.cmake/earshot.pc.in ${PROJECT_BINARY_DIR}/earshot.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/earshot.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT development)

# ---- for those who use it ----

install(FILES docs/shell/earshot.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME earshot)
install(FILES docs/shell/_earshot DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
install(FILES docs/shell/earshot.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
install(DIRECTORY docs/ DESTINATION ${doc_dir} FILES_MATCHING PATTERN "*.md" PATTERN man EXCLUDE PATTERN shell EXCLUDE
  PATTERN changes.md EXCLUDE)
install(FILES README.md DESTINATION ${doc_dir})
install(DIRECTORY floorplans/ DESTINATION ${doc_dir}/floorplans)

find_program(GZIP gzip)
if(GZIP) # -n: the same bytes whenever it is built
  add_custom_command(OUTPUT ${PROJECT_BINARY_DIR}/earshot.1.gz
    COMMAND ${GZIP} -9nc ${PROJECT_SOURCE_DIR}/docs/man/earshot.1 > ${PROJECT_BINARY_DIR}/earshot.1.gz
    DEPENDS docs/man/earshot.1 VERBATIM)
  add_custom_target(manual ALL DEPENDS ${PROJECT_BINARY_DIR}/earshot.1.gz)
  add_dependencies(earshot-cli manual) # so that the program alone can be built and installed
  install(FILES ${PROJECT_BINARY_DIR}/earshot.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
else()
  install(FILES docs/man/earshot.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
endif()
