/* JSON Schemas of the two file formats, for editors and validators: built from the tables that the
 * loaders and the checks use, so that a new parameter, check or kind of source is in them at once.
 *
 * They refuse nothing that the program takes. What a schema cannot say (that a law exists, that
 * wire values rise, that the desk has such an input) is left to `gainwarden check`; the test of the
 * schemas lists it all.
 */
#ifndef GAINWARDEN_SCHEMA_H
#define GAINWARDEN_SCHEMA_H

#include "base/json.h"

/* Free with json_free(). */
struct json *schema_profile(void);
struct json *schema_show(void);

#endif
