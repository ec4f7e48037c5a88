// The package's own declaration does not resolve under nodenext; what tests use of it is typed in mock-ports.ts.
declare module "@serialport/binding-mock" {
  export const MockBinding: unknown;
}
