// A Modbus server made with libmodbus, for tests: every input register n holds n, discrete input n is set when n is odd.
// Usage: libmodbus_server tcp PORT | rtu DEVICE BAUD
#include <errno.h>
#include <modbus.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define UNIT 17
#define COUNT 200

static int serve(modbus_t *context, modbus_mapping_t *tables, int is_tcp) {
  uint8_t query[MODBUS_TCP_MAX_ADU_LENGTH];
  for (;;) {
    int length = modbus_receive(context, query);
    if (length > 0)
      modbus_reply(context, query, length, tables);
    else if (length == -1 && is_tcp)
      return 0;
  }
}

int main(int argc, char **argv) {
  modbus_mapping_t *tables = modbus_mapping_new(COUNT, COUNT, COUNT, COUNT);
  for (int k = 0; k < COUNT; k++) {
    tables->tab_input_registers[k] = (uint16_t)k;
    tables->tab_input_bits[k] = (uint8_t)(k & 1);
  }
  if (argc == 3 && strcmp(argv[1], "tcp") == 0) {
    modbus_t *context = modbus_new_tcp("127.0.0.1", atoi(argv[2]));
    modbus_set_slave(context, UNIT);
    int listener = modbus_tcp_listen(context, 1);
    if (listener == -1) {
      fprintf(stderr, "listen: %s\n", modbus_strerror(errno));
      return 1;
    }
    printf("ready\n");
    fflush(stdout);
    modbus_tcp_accept(context, &listener);
    return serve(context, tables, 1);
  }
  if (argc == 4 && strcmp(argv[1], "rtu") == 0) {
    modbus_t *context = modbus_new_rtu(argv[2], atoi(argv[3]), 'E', 8, 1);
    modbus_set_slave(context, UNIT);
    if (modbus_connect(context) == -1) {
      fprintf(stderr, "connect: %s\n", modbus_strerror(errno));
      return 1;
    }
    printf("ready\n");
    fflush(stdout);
    return serve(context, tables, 0);
  }
  fprintf(stderr, "usage: tcp PORT | rtu DEVICE BAUD\n");
  return 2;
}
