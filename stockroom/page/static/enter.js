// The code stands behind the # of the scanned address, which no browser sends: it is taken over
// into its field, and out of the address.
const code = location.hash.slice(1);
if (/^[0-9]{8}$/.test(code)) {
  history.replaceState(null, "", "/enter");
  const field = document.getElementById("f-code");
  if (field) {
    field.value = code;
    document.getElementById("f-who").focus();
  }
}
