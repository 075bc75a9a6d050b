/* The JSON Schema of profiles. */
#ifndef GAINWARDEN_SCHEMA_PROFILE_H
#define GAINWARDEN_SCHEMA_PROFILE_H

#include "base/json.h"

/* Free with json_free(). */
struct json *schema_profile(void);

#endif
