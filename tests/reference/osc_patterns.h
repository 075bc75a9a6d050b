/* SPDX-License-Identifier: MIT */
/* Reference cases of OSC address patterns.
 *
 * The rules are those of the OSC 1.0 specification, M. Wright, 26 March 2002, "OSC Message
 * Dispatching and Pattern Matching"; the cases are computed from them. The first two and the fourth
 * are the specification's own examples.
 */
#ifndef GAINWARDEN_REFERENCE_OSC_PATTERNS_H
#define GAINWARDEN_REFERENCE_OSC_PATTERNS_H

#include <stdbool.h>

static const struct {
    const char *pattern, *address;
    bool match;
} reference_patterns[] = {
    {"/second/[1-2]", "/second/1", true},
    {"/second/[1-2]", "/second/2", true},
    {"/second/[1-2]", "/second/3", false},
    {"/third/*", "/third/a", true},
    {"/third/*", "/third/a/b", false},
    {"/?/b/*c", "/a/b/cde", false},
    {"/?/b/*c", "/a/b/c", true},
    {"/?/b/*c", "/a/b/xyc", true},
    {"/a/?", "/a/", false},
    {"/a/*", "/a/", true},
    {"/a/[!1-3]", "/a/4", true},
    {"/a/[!1-3]", "/a/2", false},
    {"/a/[a-c-]", "/a/-", true},
    {"/a/[1!]", "/a/!", true},
    {"/{foo,bar}/x", "/bar/x", true},
    {"/{foo,bar}/x", "/baz/x", false},
    {"/{foo,foobar}baz", "/foobarbaz", true},
    {"/lamp/0[1-8]/*", "/lamp/03/glow", true},
    {"/lamp/0[1-8]/*", "/lamp/09/glow", false},
};

#endif
