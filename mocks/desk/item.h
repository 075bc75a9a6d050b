/* SPDX-License-Identifier: MIT */
/* One value of one object, where a message is put together from several. */
#ifndef MOCK_ITEM_H
#define MOCK_ITEM_H

#include <stddef.h>

#include "fields.h"

enum { ITEMS_LIMIT = 160 }; /* in one message: more than one run over all inputs */

struct item {
    const struct field *field;
    size_t object;
};

#endif
