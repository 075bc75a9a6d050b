/* One value of one object, where a message is put together from several. */
#ifndef MOCK_ITEM_H
#define MOCK_ITEM_H

#include "fields.h"

#include <stddef.h>

enum { ITEMS_LIMIT = 160 }; /* in one message: more than one run over all inputs */

struct Item {
    const struct Field *field;
    size_t object;
};

#endif
