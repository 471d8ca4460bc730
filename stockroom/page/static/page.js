// What every page does: it hears the news, and takes in what a scanner types.
import { listen } from "./news.js";
import { scanned } from "./scanner.js";

listen();
scanned((digits) => {
  location.assign(`/scanned?piece=${digits}`);
});
