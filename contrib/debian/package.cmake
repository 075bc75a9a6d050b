# SPDX-License-Identifier: MIT
# What is installed, and the Debian package that contrib/package makes of it.
include(GNUInstallDirs)
set(OWN_DATA ${CMAKE_INSTALL_DATADIR}/gainwarden)
set(OWN_DOC ${CMAKE_INSTALL_DATADIR}/doc/gainwarden)

install(TARGETS gainwarden)
install(TARGETS mock-desk mock-chat DESTINATION lib/gainwarden)
install(FILES contrib/gainwarden@.service DESTINATION lib/systemd/system)
# Side by side as here, so that the demo finds its profile and an editor the schemas.
install(DIRECTORY contrib/demo contrib/dialects contrib/schema contrib/scheme DESTINATION ${OWN_DATA})
file(CREATE_LINK ../../gainwarden ${CMAKE_BINARY_DIR}/examples SYMBOLIC)
install(FILES ${CMAKE_BINARY_DIR}/examples DESTINATION ${OWN_DOC})
install(FILES contrib/debian/copyright DESTINATION ${OWN_DOC})
install(DIRECTORY DESTINATION ${CMAKE_INSTALL_FULL_SYSCONFDIR}/gainwarden) # for show files

# The same bytes for the same text: no name and no time inside.
function(install_compressed file folder)
    get_filename_component(name ${file} NAME)
    set(made ${CMAKE_BINARY_DIR}/compressed/${name}.gz)
    add_custom_command(OUTPUT ${made} COMMAND gzip -9cn ${file} > ${made}
        WORKING_DIRECTORY ${CMAKE_SOURCE_DIR} DEPENDS ${file} VERBATIM)
    list(APPEND MADE ${made})
    set(MADE ${MADE} PARENT_SCOPE)
    install(FILES ${made} DESTINATION ${folder})
endfunction()
file(MAKE_DIRECTORY ${CMAKE_BINARY_DIR}/compressed)
file(GLOB PAGES CONFIGURE_DEPENDS contrib/man/*.[1-9])
foreach(page ${PAGES})
    string(REGEX REPLACE ".*\\." "" section ${page})
    install_compressed(${page} ${CMAKE_INSTALL_MANDIR}/man${section})
endforeach()
install_compressed(contrib/debian/changelog ${OWN_DOC})

# The program itself knows what is to be completed.
set(COMPLETION ${CMAKE_BINARY_DIR}/completion)
add_custom_command(OUTPUT ${COMPLETION}
    COMMAND gainwarden explain completion > ${COMPLETION} DEPENDS gainwarden VERBATIM)
install(FILES ${COMPLETION} DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions
    RENAME gainwarden)
add_custom_target(installed_files ALL DEPENDS ${COMPLETION} ${MADE})

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME gainwarden)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
    OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_MAINTAINER "The gainwarden authors <gainwarden@packages.invalid>")
set(CPACK_DEBIAN_PACKAGE_SECTION sound)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
# Certificates for a chat hook, time zones for a show's timetable.
set(CPACK_DEBIAN_PACKAGE_RECOMMENDS "ca-certificates, tzdata")
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "bash-completion")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "finds what endangers a stage-monitor mix on a digital desk")
set(CPACK_DEBIAN_PACKAGE_DESCRIPTION
"Reads the settings of a digital mixing desk over Open Sound Control (OSC),
works out what they mean for level and feedback margin in the monitor mixes,
and says what to change, by how much, and why: once before doors, or all
through the show, on the terminal or a chat hook. It only ever reads the desk.

Contains a mock desk with a demo show to try it on.")
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA
    ${CMAKE_SOURCE_DIR}/contrib/debian/postinst
    ${CMAKE_SOURCE_DIR}/contrib/debian/prerm
    ${CMAKE_SOURCE_DIR}/contrib/debian/postrm)
include(CPack)
