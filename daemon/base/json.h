/* SPDX-License-Identifier: MIT */
/* The only file that knows cJSON. Reading is strict: a whole file, one value, no duplicate keys, no
 * embedded NUL, valid UTF-8; errors carry line and column.
 */
#ifndef GAINWARDEN_JSON_H
#define GAINWARDEN_JSON_H

#include <stdbool.h>

#include "base/problems.h"

struct json; /* a node of a tree; the root owns all */

enum json_kind { JSON_NULL, JSON_BOOL, JSON_NUMBER, JSON_STRING, JSON_ARRAY, JSON_OBJECT };

enum { JSON_FILE_LIMIT = 8 * 1024 * 1024 };

/* Once, before all else: what cJSON asks for is there, or the program ends (core/need.h). Without
 * it a text would be told to be no JSON where there is no memory to read it. */
void json_init(void);

/* Reads the file, or adds to the problems and returns NULL. Free with json_free(). */
struct json *json_read(const char *path, struct problems *problems);

/* The file's text, for free(), or NULL with a problem; "larger than 8 MiB, which no `what`". */
char *json_read_text(const char *path, int most, const char *what, size_t *length,
                     struct problems *problems);

/* json_read() for text in memory, with a NUL behind its `length` bytes; `name` stands for the file
 * in the messages. */
struct json *json_parse(const char *text, size_t length, const char *name,
                        struct problems *problems);

/* The value that a text of a message holds, without a word where it holds none: NULL. Keys may
 * stand twice. */
struct json *json_parse_quietly(const char *text);
void json_free(struct json *json);

enum json_kind json_kind(const struct json *json);
const char *json_kind_name(enum json_kind kind); /* "a number", "an object", ... */

/* Children of an array or object, in file order; NULL at the end, and of NULL. */
const struct json *json_first(const struct json *json);
const struct json *json_next(const struct json *json);
const char *json_key(const struct json *json);
int json_size(const struct json *json);

/* The member called `key`, letter case counting, or NULL. */
const struct json *json_get(const struct json *json, const char *key);

/* The same of what anybody may have written: what stands there, or the first of a list; where there
 * is nothing of that kind `otherwise`, "", false or NULL. */
double json_number_at(const struct json *json, const char *key, double otherwise);
const char *json_string_at(const struct json *json, const char *key);
bool json_bool_at(const struct json *json, const char *key);
const struct json *json_first_at(const struct json *json, const char *key);

double json_number(const struct json *json);
bool json_bool(const struct json *json);
const char *json_string(const struct json *json);

/* Building. A node given to json_add() belongs to its parent; key NULL appends to
 * an array. */
struct json *json_new_object(void);
struct json *json_new_array(void);
struct json *json_new_string(const char *string);
struct json *json_new_number(double number);
struct json *json_new_bool(bool value);

/* An array of these nodes, or of these strings, up to the first NULL. */
#define json_list(...) json_list_of((struct json *const[]){__VA_ARGS__, NULL})
#define json_words(...) json_words_of((const char *const[]){__VA_ARGS__, NULL})
struct json *json_list_of(struct json *const *nodes);
struct json *json_words_of(const char *const *words);

void json_add(struct json *parent, const char *key, struct json *child);
void json_add_number(struct json *parent, const char *key, double number);
void json_add_string(struct json *parent, const char *key, const char *string);
void json_add_bool(struct json *parent, const char *key, bool value);

/* The same as json_get(), to be added to. */
struct json *json_get_mutable(struct json *json, const char *key);

/* Takes the member out, when there is one, and frees it. */
void json_remove(struct json *json, const char *key);

/* Text of the tree, to free(): indented, or on one line. */
char *json_print(const struct json *json, bool indented);

/* The same, indented, on standard output. */
void json_put(const struct json *json);

struct json *json_copy(const struct json *json);

/* A copy of the tree in which each ${text} and ${id} inside a string is replaced. */
struct json *json_fill(const struct json *json, const char *text, const char *id);

#endif
